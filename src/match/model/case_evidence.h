#pragma once

#include <map>
#include <optional>
#include <string>

namespace tattletone::match {

/// Where a rate was seen by an oscilloscope: the Gaussian in x (match/model/deviation_prior.h), the
/// probability that it is this rate which was seen, and what that multiplies its prior odds to sing
/// by.
struct RateSeen {
    double x = 0.0, sd = 0.0, mass = 0.0, odds_factor = 1.0;
};

/// What is known of one case beside its recordings: evidence, not a number of the model.
struct CaseEvidence {
    /// What this bench has learned, by full name of a rate: its prior odds to sing are multiplied by
    /// this, within `opinion_factor_limit` (match/model/parameters.h).
    std::map<std::string, double> prior_odds_factor;
    /// By full name of a rate (match/trace_match.h).
    std::map<std::string, RateSeen> seen_in_trace;
    /// The rail of that trace, -1 where it is not known; nothing without a trace.
    std::optional<int> traced_rail;
};

}  // namespace tattletone::match
