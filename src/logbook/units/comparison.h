#pragma once

#include <optional>
#include <string>
#include <vector>

#include "logbook/logbook.h"
#include "logbook/units/statistics.h"

namespace tattletone::logbook {

/// One side of a comparison: the newest measurement of each unit that carries this word.
struct Group {
    std::string key, value;  ///< key: "batch", "firmware", "revision" or "label"
};

/// A word of the user: "KEY=VALUE", or a value that only one key has. Errors: none or several have it.
Result<Group> find_side(Logbook& logbook, const std::string& text);

/// What was heard of one line in one unit on one side.
struct GroupValue {
    std::string unit, serial, microphone;
    std::optional<double> distance_cm;
    bool whined = false;
    double level_dbfs = 0.0;  ///< where it did not: the level above which it would have been found
    bool known = true;        ///< false: outside what that recording can tell
};

struct Comparison {
    Group a, b;
    std::string rate;  ///< what is compared: a rate, or `hz` where it is empty
    double hz = 0.0;
    std::vector<GroupValue> in_a, in_b;
    bool paired = false;  ///< only units on both sides count: two or more, or one without
                          ///< which a side would be empty
    int whined_a = 0, of_a = 0, whined_b = 0, of_b = 0;
    double p_whined = 1.0;                ///< McNemar or Fisher, exact
    double least_p = 1.0;                 ///< the smallest that so few units could give
    std::optional<MeanDifference> level;  ///< a minus b; paired t or Welch
    bool level_is_bound = false;          ///< silent units count at the level at which they would be found
    bool same_conditions = true;          ///< microphone and distance
};

/// `rate` and `hz` empty and 0: the rate that whines in most units of both sides together.
Result<Comparison> compare_sides(Logbook& logbook, const Group& a, const Group& b, const std::string& rate, double hz);

/// The result in plain sentences, the answer first.
std::vector<std::string> comparison_sentences(const Comparison& comparison);

}  // namespace tattletone::logbook
