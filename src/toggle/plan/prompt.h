#pragma once

#include <string>

#include "toggle/plan/plan.h"

namespace tattletone::toggle {

/// What a person who switches by hand is told at a moment.
struct Prompt {
    std::string now;               ///< "lamp ON, ranger OFF": as it should be; empty before the plan begins
    std::string changed;           ///< "lamp OFF": what changed at the last switching; empty before the plan begins
    double seconds_since = 0.0;    ///< since that
    std::string next;              ///< "lamp OFF": what changes at the next switching; empty behind the last
    double seconds_to_next = 0.0;  ///< until that
    std::size_t switched = 0;      ///< how many switchings are behind, the first step's own among them
    bool over = false;             ///< the plan is through
};

inline constexpr double prompt_lead_seconds = 6.0;  ///< to get ready, before the first step

/// `seconds` of sound were heard. The reaction of the person delays all steps alike and is found as part of the start.
Prompt prompt_at(const Plan& plan, double seconds);

/// "Now: lamp ON. In 3 s: lamp OFF".
std::string prompt_words(const Prompt& prompt);

}  // namespace tattletone::toggle
