#pragma once

#include <string>
#include <vector>

#include "match/search/joint_posterior.h"

namespace tattletone::match {

/// Why a declared rate is a suspect, or not more of one: plain sentences, the weightiest first, each
/// computed from the outcome.
struct Reasons {
    std::vector<std::string> all, against;  ///< all: those for it first; against: a part of them
};
Reasons reasons_for(const Observations& observations, const tones::UnitTones& unit, const std::vector<Source>& sources,
                    const JointPosterior& outcome, int source, const CardGrid& grid);

/// Sources with a tight tolerance that are heard: they pin the sound card's clock. Empty where it is not pinned.
std::vector<int> pinning(const Observations& observations, const std::vector<Source>& sources,
                         const JointPosterior& outcome);

/// Probability that it keeps its declared tolerance where it sings as it most likely does.
double keeps_tolerance(const Source& source, const SourcePosterior& found, const JointPosterior& outcome);

}  // namespace tattletone::match
