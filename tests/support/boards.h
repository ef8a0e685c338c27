#pragma once

#include <string>
#include <vector>

#include "board/sheet/sheet.h"
#include "support/names.h"
#include "support/random.h"

namespace tattletone::scenes {

enum class Timing { crystal, ceramic, resistor_capacitor, wandering };
const char* name_of(Timing timing);

struct DrawnBoard {
    BoardSheet sheet;
    std::vector<Timing> timing;  ///< of each rate
};

/// A board as makers draw them: timers divided down from crystals, frame and refresh rates of open
/// standards, pumps on their own oscillators, converters that wander. No two fixed rates are the same
/// or small multiples of each other, and no two converters wander over the same range, but in one board
/// out of ten.
DrawnBoard draw_board(int rates, Random& random);

/// The sheet as a maker would write it (format of the board sheet; only what the simulator fills in).
std::string to_toml(const BoardSheet& sheet);

}  // namespace tattletone::scenes
