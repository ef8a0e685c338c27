#pragma once

#include <optional>
#include <span>

#include "board/sheet/sheet.h"

namespace tattletone::board {

/// A number that a rail can be given: in the sheet, or for a try of another regulator.
struct RailKey {
    const char* name;
    std::optional<double> Rail::*value;
    double low, high;
    bool low_included;
    const char* unit;
};

std::span<const RailKey> rail_keys();

inline constexpr const char* regulator_words[] = {"linear", "buck", "boost", "charge-pump"};

}  // namespace tattletone::board
