#pragma once

#include <vector>

#include "match/comb/comb_score.h"

namespace tattletone::match {

/// A fundamental at which a comb may stand out. `value`: ln of a ratio, roughly; `reach`: relative, how far off it may
/// be.
struct BlindPlace {
    double hz = 0.0, value = 0.0, reach = 0.0;
};

/// Those between two frequencies that stand out most, the best first: by the first lines of each only, for two of
/// CombScore's columns, in steps by which the highest moves one bin.
std::vector<BlindPlace> blind_scan(const CombScore& score, double low_hz, double high_hz);

}  // namespace tattletone::match
