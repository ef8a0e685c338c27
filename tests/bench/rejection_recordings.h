#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "support/names.h"
#include "tones/join/unit_tones.h"
#include "tones/judge/rejection_limits.h"
#include "tones/segment.h"

namespace tattletone::bench {

/// A line that is known to be in a recording.
struct KnownTone {
    double hz = 0.0, reach_hz = 0.0;  ///< a tone within the reach is this line
    bool counts = true;               ///< as a board's; false: the recorder's own, no tone there is judged
};

/// A recording with all that stands before the gates, so that only they have to run again.
struct HeardRecording {
    std::string name;
    bool real = false;
    std::vector<KnownTone> known;     ///< all else that is found is foreign
    std::vector<SegmentLines> lines;  ///< of segments as the finder cuts them
    std::vector<float> samples;       ///< kept where the search itself is to run again
    double sample_rate_hz = 0.0;
};

/// A simulated unit that comes with a recording of its room.
struct HeardUnit {
    std::vector<Take> takes;
    Tones room;
    std::vector<KnownTone> known;
};

struct Heard {
    std::vector<HeardRecording> recordings;
    std::vector<HeardUnit> units;
};

/// The lines of a recording, by a search with these limits.
std::vector<SegmentLines> lines_of(const std::vector<float>& samples, double sample_rate_hz,
                                   const RejectionLimits& limits);
/// The tones among them, as find_tones() tells them.
Tones tones_of(const std::vector<SegmentLines>& lines, const RejectionLimits& limits);

/// Recordings of rooms, animals, engines, voices and drums, from `shared` and from Debian packages,
/// where they are there; `share` of each kind. The lines of televisions and screens that stand in
/// some of them (../shared/real/README.md) count as a board's.
std::vector<HeardRecording> hear_real(const std::string& shared, double share, bool keep_samples);

/// Scenes of tests/support from this seed on, with all their lines known.
Heard hear_scenes(std::uint64_t first_seed, int count, bool keep_samples);

}  // namespace tattletone::bench
