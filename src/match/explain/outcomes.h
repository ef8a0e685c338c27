#pragma once

#include <string>
#include <vector>

#include "board/sheet/sheet.h"
#include "match/findings.h"
#include "match/model/parameters.h"

namespace tattletone::match {

/// What became of a rate's tones in a recording that was made with that rate set to another value, or off.
struct Outcome {
    int take = 0, rate = 0;
    bool came_true = false;  ///< as it should be if the rate makes the tones
    std::string sentence;    ///< "with lamp.dimming at 4297 Hz, the tone at 3906.2 Hz stayed: …"
};

/// One for each changed or stopped rate that has a tone at one of its first lines elsewhere; only where the recording
/// could tell.
std::vector<Outcome> outcomes_of(const board::BoardSheet& sheet, const tones::UnitTones& unit,
                                 const MatchParameters& parameters);

}  // namespace tattletone::match
