#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

namespace tattletone::match {

/// Where a rate was seen by an oscilloscope: the Gaussian in x (match/model/deviation_prior.h), the
/// probability that it is this rate which was seen, and what that multiplies its prior odds to sing
/// by.
struct RateSeen {
    double x = 0.0, sd = 0.0, mass = 0.0, odds_factor = 1.0;
};

/// What a toggle plan's trial says of a tone: ids of parts.
struct TriedTone {
    int tone = 0;  ///< its number before faint tones were added
    double hz = 0.0;
    std::vector<std::string> driven_by;    ///< it follows their switching
    std::vector<std::string> not_made_by;  ///< it stays as it is when they are switched
};

/// What is known of one case beside its recordings: evidence, not a number of the model.
struct CaseEvidence {
    /// What this bench has learned, by full name of a rate: its prior odds to sing are multiplied by
    /// this, within `opinion_factor_limit` (match/model/parameters.h).
    std::map<std::string, double> prior_odds_factor;
    /// By full name of a rate: at its pace noise comes and goes (match/declared_pulses.h).
    std::map<std::string, double> pulse_odds;
    /// By full name of a rate (match/trace_match.h).
    std::map<std::string, RateSeen> seen_in_trace;
    std::vector<TriedTone> trial;
    /// Full names of rates of which a line, where no tone was found, follows the part's switching.
    std::vector<std::string> trial_heard;
    /// The rail of that trace, -1 where it is not known; nothing without a trace.
    std::optional<int> traced_rail;
};

}  // namespace tattletone::match
