#pragma once

#include <optional>
#include <vector>

#include "board/lines.h"
#include "board/sheet/sheet.h"

namespace tattletone::board {

/// A line that one rate of a pair has and the other cannot have, and where it stands if the two do
/// coincide elsewhere.
struct TellingLine {
    int rate = 0;  ///< index into BoardSheet::rates: whose line it is
    int order = 1;
    double low_hz = 0.0, high_hz = 0.0;
    bool by_shape = false;  ///< the other could have it, but its declared shape mostly lacks it
};

/// Two rates of which one could pass for the other: within the declared limits every audible
/// harmonic n of `rate` can stand where harmonic n·multiple of `other` stands. Harmonics only; the
/// sound card's error moves both alike and so does not count.
struct ConfusablePair {
    int rate = 0, other = 0;
    int multiple = 1;                 ///< 1: each can pass for the other
    double at_hz = 0.0;               ///< the lowest such line in band
    int at_order = 1;                 ///< its order as a harmonic of `rate`
    std::optional<TellingLine> line;  ///< the lowest order in band that tells them apart
    bool by_drift = false;            ///< one wanders and the other does not: a line that moves is the former's
    std::vector<int> states;          ///< indices of states in which exactly one of them is active
};

/// All such pairs with `multiple` up to 16, in the order of the sheet. Beyond that the other's own
/// lower lines are so many that nobody would mistake it.
std::vector<ConfusablePair> confusable_pairs(const BoardSheet& sheet, const LineLimits& limits);

}  // namespace tattletone::board
