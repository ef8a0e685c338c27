#pragma once

#include <string>

#include "board/lines.h"
#include "board/sheet/sheet.h"

namespace tattletone::report {

struct PredictionStyle {
    int columns = 80;
    bool bold = false;
    bool all = false;  ///< every line instead of the first of each ladder
    int state = -1;    ///< only what is active in this state; -1: everything
};

/// What a board sheet lets expect in the audible range: the lines by rate with their windows, who
/// is active when, and the rates that could pass for one another. No sound is involved, so no
/// images.
std::string prediction_text(const board::BoardSheet& sheet, const board::LineLimits& limits,
                            const PredictionStyle& style);

/// The same as one line of JSON, format "tattletone prediction 1", always with every line.
std::string prediction_json(const board::BoardSheet& sheet, const board::LineLimits& limits, int state);

}  // namespace tattletone::report
