#pragma once

#include <span>
#include <vector>

#include "spectrum/periodogram.h"
#include "tones/detect/noise_floor.h"
#include "tones/judge/rejection_limits.h"
#include "tones/tones.h"

namespace tattletone::tones {

/// A line followed from frame to frame.
struct TrackedLine {
    std::vector<double> seconds;      ///< centre of each frame in the segment
    std::vector<double> hz;           ///< smoothed path
    std::vector<double> mean_square;  ///< of the line in each frame, noise taken off, may be 0
    double mean_hz = 0.0, hz_sd = 0.0;
    double start_hz = 0.0, end_hz = 0.0;
    double level_mean_square = 0.0;  ///< mean over the time in which it is there
    double noise_density = 0.0;      ///< one-sided, units² per Hz, along the path
    double wander_hz = 0.0;          ///< root mean square of the path about its mean
    double present = 1.0;            ///< share of the segment in which it is there without a break
    double steadiness = 1.0;         ///< of its strength while it is there, 0 to 1
    double score = 0.0,
           threshold = 0.0;       ///< mean whitened power along the path, and what noise reaches
    double roughness_bins = 0.0;  ///< root mean square of the unsmoothed path about the smoothed one
    double side_level = 0.0;      ///< whitened power beside the line, 1 where the noise is smooth
    double peak_level = 0.0;      ///< whitened power on the line, uncapped mean
    double least_quarter = 0.0;   ///< excess over noise in the weakest quarter over the mean excess
};

/// A line already known, which is not to be found again.
struct KnownLine {
    double hz = 0.0;
    double mean_square = 0.0;
};

struct TrackingOptions {
    int most_bins_a_hop = 2;  ///< how far a path may move between two frames, 2 or 3
    double false_alarm_rate = 0.0003;
    int most_lines = 10;
    double seconds = 0.0;  ///< of the sound that the frames are of, which they need not fill
};

struct TrackedLines {
    std::vector<TrackedLine> lines;  ///< strongest score first
    double threshold = 0.0;          ///< of the score; 0 where the frames were too few to look
    double best_score = 0.0;         ///< of the best path, found or not
    bool crowded = false;            ///< there is a path over the threshold beyond `most_lines`
};

/// Whether a path is a line's and not the way that the best path finds through noise with events in
/// it: smooth, there in every quarter of the segment, narrow. Margins between simulated lines at -8
/// dB tone-to-noise or more and paths through 145 real rooms without a line.
bool is_line(const TrackedLine& line, double bin_hz, const RejectionLimits& limits = {});

/// Lines that are narrow at every moment and move smoothly, by the best path through whitened
/// frames (dynamic programming), each found path being taken out before the next is sought. Every
/// frame is whitened by its own floor and its values are capped, so that an event cannot carry a
/// path.
/// `floors` as frame_floors() gives them.
TrackedLines track_lines(const spectrum::Frames& frames, std::span<const NoiseFloor> floors,
                         std::span<const double> density, Band band, std::span<const KnownLine> known,
                         const TrackingOptions& options);

/// The noise of each frame.
std::vector<NoiseFloor> frame_floors(const spectrum::Frames& frames);

/// Mean whitened power along the best path that white noise exceeds with the probability given, for
/// `frames` frames of `bins` bins and paths that move by up to two or three bins a hop. Measured by
/// tests/bench/path_threshold, which printed its constants.
double path_threshold(double frames, double bins, int most_bins_a_hop, double false_alarm_rate);

}  // namespace tattletone::tones
