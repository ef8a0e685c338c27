#pragma once

#include <cstddef>
#include <vector>

#include "tones/detect/steady.h"

namespace tattletone::tones {

/// A line that is switched on and off at an even pace stands between sidebands at whole multiples of the pace, alike
/// on both sides and none stronger than itself.
struct BurstGroup {
    std::size_t carrier = 0;             ///< index of the line between them
    std::vector<std::size_t> sidebands;  ///< indices, ascending
    double pace_hz = 0.0, pace_hz_sd = 0.0;
    double mean_square = 0.0;  ///< of all of them
};

/// Those among the lines of one segment, which ascend in hz. A line is in one group at most. The multiples of a low
/// rate from its first on are no sidebands.
std::vector<BurstGroup> find_bursts(const std::vector<SteadyLine>& lines, double seconds);

}  // namespace tattletone::tones
