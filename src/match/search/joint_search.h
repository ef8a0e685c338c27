#pragma once

#include <vector>

#include "match/search/hypotheses.h"

namespace tattletone::match {

struct Choice {
    int hypothesis = 0, candidate = 0;
    PartMask part = 0;
};

/// Some hypotheses, each in one assignment; every other one is silent or a side (see below).
struct Joint {
    double log_weight = 0.0;
    std::vector<Choice> choices;
};

/// Π of the chosen weights' shapes times the card's prior, node by node.
using CardShape = std::vector<double>;

/// product = by · weight's shape.
void multiply(const CardShape& by, const Weight& weight, CardShape& product);

struct SearchResult {
    std::vector<Joint> joints;  ///< the best and all within `margin` of it
    double least_strong = 0.0;  ///< choices with smaller log odds were not branched on: sides
    bool raised = false;        ///< that limit had to be raised
    bool cut = false;           ///< even so the search ended before it had come to all
};

/// Branch and bound over choices with log odds of `least_strong` or more. That limit starts at odds of 0.1
/// and is raised, up to 100, where more than `most_nodes` choices would have to be tried; beyond that the
/// search ends with what it has.
SearchResult search_joints(std::vector<Hypothesis>& hypotheses, std::size_t tones, const CardGrid& grid,
                           int most_nodes);

}  // namespace tattletone::match
