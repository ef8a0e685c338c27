#pragma once

#include <array>
#include <cstdint>
#include <span>
#include <vector>

#include "bench/match_boards.h"
#include "match/model/parameters.h"
#include "support/names.h"

namespace tattletone::bench {

struct Bin {
    int count = 0, guilty = 0;
    double probability = 0.0;  ///< sum
};

/// How well the probabilities tell the guilty, over every declared rate of every unit.
struct Score {
    double log_score = 0.0;          ///< mean log probability of what is true, per unit (0 is perfect)
    double brier = 0.0;              ///< mean square error, per rate
    double calibration_error = 0.0;  ///< expected: mean |share of guilty - probability| over ten bins of those >= 0.01
    double named_first = 0.0;        ///< units with a culprit whose first suspect is one
    double named = 0.0;              ///< … at 0.5 or more
    double false_accusations = 0.0;  ///< units without a culprit in which somebody has 0.5 or more
    double milliseconds = 0.0, slowest_milliseconds = 0.0;  ///< of one diagnosis
    std::array<Bin, 10> bins{};
    int units = 0, rates = 0;
};

std::vector<DrawnUnit> draw_units(std::uint64_t first_seed, int count);
Score score_of(std::span<const DrawnUnit> units, const MatchParameters& parameters);
void print(const Score& score);

}  // namespace tattletone::bench
