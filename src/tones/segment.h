#pragma once

#include <memory>
#include <span>
#include <vector>

#include "tones/detect/line_tracker.h"
#include "tones/detect/steady.h"
#include "tones/judge/bursts.h"
#include "tones/judge/critical_band.h"
#include "tones/judge/rejection_limits.h"
#include "tones/tones.h"

namespace tattletone::tones {

/// More than the finder looks at; the weakest of them may be missing.
struct Crowded {
    bool steady = false, moving = false, faint = false;
};

/// What one segment of sound without a gap, 0.5 s to 20 s, holds. Times are from the segment's start.
struct Segment {
    double seconds = 0.0;
    Band usable;
    std::vector<Tone> tones;  ///< ascending in hz; steady ones without the ratios of ECMA-418-1
    std::vector<FaintLine> faint;
    std::shared_ptr<const FineSpectrum> fine;
    std::vector<PulseLine> pulses;
    std::vector<FloorPoint> floor;
    std::vector<double> density;  ///< mean density by bin of `bin_hz`
    double bin_hz = 0.0;
    std::vector<float> mark_rows;  ///< as in SoundMark, one row a short frame
    double frame_seconds = 0.0;    ///< length of a short frame
    std::vector<float> noise_db;   ///< of each short frame, lines left out
    double noise_hop_seconds = 0.0;
    Crowded crowded;
};

/// What is told of a segment beside its lines: its fine spectrum, and where it may be the whole recording its faint
/// lines too.
enum class Kept { lines, fine, faint };

/// The lines of one segment as the rungs of the ladder found them, before any is judged.
struct SegmentLines {
    Segment segment;  ///< all but its tones
    std::vector<SteadyLine> steady, quiet;
    std::vector<BurstGroup> bursts;  ///< among `steady`
    double steady_threshold = 0.0;
    std::vector<double> event_hz;  ///< ascending: lines that an event made
    std::vector<TrackedLine> short_paths, long_paths;
    double short_bin_hz = 0.0, long_bin_hz = 0.0;
    std::vector<double> noise;  ///< mean square of each short frame, lines left out
};

/// The ladder: steady lines from the whole segment, then lines that wander from frames of 0.7 s and
/// of 0.15 s; one tone a line, whichever rung saw it best. `false_alarm_rate` is shared between the
/// rungs. `two_threads`: the long frames are worked beside the rest, for a sooner answer.
SegmentLines lines_of_segment(std::span<const float> samples, double sample_rate_hz, double false_alarm_rate,
                              bool two_threads, Kept kept, const RejectionLimits& limits = {});

/// The tones among them: one a line, those unsure that do not behave as a board's would.
Segment judged(SegmentLines lines, const RejectionLimits& limits = {});

}  // namespace tattletone::tones
