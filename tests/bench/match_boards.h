#pragma once

#include <cstdint>
#include <vector>

#include "board/sheet/sheet.h"
#include "support/names.h"
#include "tones/join/unit_tones.h"

namespace tattletone::bench {

/// Seeds below this are for fitting parameters, from here on for checking them.
inline constexpr std::uint64_t first_check_seed = 1000000;

/// A unit at tone level: no audio, only what a tone finder would have listed.
struct DrawnUnit {
    BoardSheet sheet;
    UnitTones tones;
    std::vector<char> guilty;  ///< by rate: sings, and a line of it is among the tones
};

/// Draws a board, who sings on it and how, the takes' thresholds, what is found of the lines, and tones
/// that nobody declared. On purpose not the match's own model: drives are pulses with a duty cycle,
/// resonances are smooth in frequency, loudness is drawn by the strongest line.
DrawnUnit draw_unit(std::uint64_t seed);

}  // namespace tattletone::bench
