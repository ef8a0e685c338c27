#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "support/ambiguous.h"
#include "support/names.h"
#include "tones/join/unit_tones.h"

namespace tattletone::scenes {

/// How the next experiment is chosen: as `next` ranks them, any that is possible, always the next state.
enum class Policy { next, random, states };
const char* name_of(Policy policy);

struct Course {
    bool solved = false;   ///< the culprit has 0.95
    bool wrong = false;    ///< somebody else got there first
    int experiments = 0;   ///< recordings after the first
    double minutes = 0.0;  ///< of effort, by the table of match/experiments/experiments.h
};

inline constexpr int most_experiments = 6;
inline constexpr double sure_from = 0.95;

/// One unit from its first recording on, until somebody has 0.95, nothing is left to do, or six experiments are made.
Course follow(const AmbiguousUnit& unit, Policy policy);

/// Whether the likeliest suspect is the culprit and has 0.5 or more, with the recordings of these conditions.
bool named_with(const AmbiguousUnit& unit, const std::vector<Condition>& conditions);
/// The first recording only; one in each state; one over each part's spot.
std::vector<Condition> once(const AmbiguousUnit&unit), each_state(const AmbiguousUnit&unit),
    each_spot(const AmbiguousUnit&unit);

struct CourseScore {
    int units = 0, solved = 0, wrong = 0;
    double mean_experiments = 0.0;  ///< an unsolved unit counts as six and one more
    double median_experiments = 0.0;
    double mean_minutes = 0.0;  ///< of the solved
};
CourseScore score_courses(std::uint64_t first_seed, int units, Policy policy);

}  // namespace tattletone::scenes
