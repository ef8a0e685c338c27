#pragma once

#include <functional>
#include <string>
#include <vector>

#include "board/sheet/sheet.h"
#include "toggle/plan/plan.h"
#include "tones/join/unit_tones.h"

namespace tattletone::toggle {

/// Where in the spectrum the trial looks for something that follows the plan: a tone that was found, a line that a
/// toggled part's rate should have, the noise in a third of an octave.
struct WatchedLine {
    enum class Kind { tone, expected, band };
    Kind kind = Kind::band;
    int tone = 0;          ///< id of the tone, 0: none
    double tone_hz = 0.0;  ///< where that tone is
    std::string rate;      ///< full name, of an expected line
    int order = 0;         ///< of an expected line: so many times the rate
    double hz = 0.0;
    double half_width_hz = 0.0;  ///< 0: a line as narrow as a step resolves
    double log_prior = 0.0;      ///< of being the one that follows; they sum to 1 or less
};

/// Chosen without a look at the plan's order, so that the order stays what is drawn at random. `peak_between` gives the
/// strongest frequency of the whole recording within a band: a steady line that is switched looks like one that moves.
std::vector<WatchedLine> watched_lines(const board::BoardSheet* sheet, const Plan& plan, const tones::UnitTones& unit,
                                       const tones::Band& usable,
                                       const std::function<double(double low_hz, double high_hz)>& peak_between);

}  // namespace tattletone::toggle
