#pragma once

#include <string>
#include <vector>

#include "tones/detect/line_fit.h"
#include "tones/detect/noise_floor.h"
#include "tones/judge/rejection_limits.h"
#include "tones/tones.h"

namespace tattletone::tones {

/// A line as narrow as a whole segment of sound can resolve.
struct SteadyLine {
    double hz = 0.0, hz_sd = 0.0;
    double start_hz = 0.0, end_hz = 0.0;
    double drift_hz = 0.0, drift_hz_sd = 0.0;  ///< end less start, also where it may be none; sd 0: not told
    double mean_square = 0.0;                  ///< of the line, over the whole segment
    double signal_to_noise = 0.0;              ///< its power over the mean noise of one bin: C/N0 times the length
    double present = 1.0;                      ///< share of the segment, 0 to 1
    double unsteadiness = 0.0;             ///< relative deviation of its amplitude while it is there, noise taken off
    std::vector<double> part_mean_square;  ///< in equal parts of the segment
};

/// What one segment holds, and what it could have shown.
struct SteadyScan {
    std::vector<SteadyLine> lines;  ///< ascending in hz
    std::vector<double> event_hz;   ///< lines left out because an event made them, ascending
    std::vector<LineFit> fits;      ///< of everything over the threshold, lines or not
    double threshold = 0.0;         ///< of signal_to_noise
    double bin_hz = 0.0;
    bool crowded = false;  ///< more peaks than are fitted: the weakest were left out
    NoiseFloor floor;      ///< mean noise power of a bin, |X/N|², by bin
};

/// In less, what glides through several bins may be a vowel, a note or a cry.
inline constexpr double shortest_sweep_seconds = 2.2;

/// Equal parts in which a line's amplitude is followed.
inline constexpr std::size_t steady_parts = 16;

/// Steady lines of one segment by a periodogram without a window, where no strong line leaks into
/// it, and by Hann-windowed bins elsewhere, from one transform. `false_alarm_rate`: chance that
/// white noise makes one line or more in the band. Lines that come from an event (most of their
/// amplitude in a quarter of the segment) are left out.
SteadyScan scan_steady(const SegmentSpectrum& spectrum, Band band, double false_alarm_rate,
                       const RejectionLimits& limits = {});

/// Expected number of noise's peaks over `statistic` (power over mean noise) in one bin, between
/// bins too: sqrt(pi s / 3) · e^{-s}, the rate at which the power of a windowless transform crosses a
/// level upwards (S. O. Rice, Bell Syst. Tech. J. 24, 1945); widened for a noise floor that is known
/// to a relative standard deviation of `floor_sd`.
double noise_peaks_a_bin(double statistic, double floor_sd);

/// Threshold of a periodogram over mean noise such that noise has a peak over it anywhere in `bins`
/// bins with the probability given.
double steady_threshold(double bins, double false_alarm_rate, double floor_sd);

}  // namespace tattletone::tones
