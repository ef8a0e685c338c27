#pragma once

#include <string>
#include <utility>
#include <vector>

#include "board/headroom.h"
#include "board/sheet/sheet.h"

namespace tattletone::report {

struct HeadroomStyle {
    int columns = 80;
    bool bold = false;
    int rail = -1;  ///< only this one; -1: all
    /// What was put in place of the sheet's values, as typed, and the sheet as it was. Empty and null: nothing.
    std::vector<std::pair<std::string, std::string>> tried;
    const board::BoardSheet* declared = nullptr;
};

/// "starved", "tight", "fine", "unknown"; "rating", "heat", "dropout", "" for none.
std::string supply_word(board::Supply supply);
std::string limit_word(board::Limit limit);

/// "linear, 5 V to 3.3 V", as far as the sheet says.
std::string rail_kind_words(const board::Rail& rail);

/// What each rail can supply against what its parts draw: the verdicts first, then each limit worked out
/// so that a reader can check it, the sums by state, the droop of bursts, what a regulator here must have.
std::string headroom_text(const board::BoardSheet& sheet, const HeadroomStyle& style);

/// The same as one line of JSON, format "tattletone headroom 1".
std::string headroom_json(const board::BoardSheet& sheet, const HeadroomStyle& style);

}  // namespace tattletone::report
