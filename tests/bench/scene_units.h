#pragma once

#include <cstdint>
#include <vector>

#include "bench/match_boards.h"
#include "support/names.h"

namespace tattletone::bench {

/// Units of the audio simulator (tests/support) as the tone finder hears them: what the match really gets.
/// Guilty is a rate that sings, whether or not a line of it was found. Seeds as for draw_unit.
std::vector<DrawnUnit> hear_units(std::uint64_t first_seed, int count);

}  // namespace tattletone::bench
