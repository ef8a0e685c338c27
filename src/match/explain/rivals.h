#pragma once

#include <string>
#include <vector>

#include "match/findings.h"
#include "match/search/joint_posterior.h"

namespace tattletone::match {

/// What sounds, or may sound, beside the declared rates, the likeliest first: sources that the match weighed against
/// them (MODEL.md 19) and that have 0.05 or more of a tone, and what a tone's place or company shows, whether it was
/// weighed or not. `outcome` may be null: then nothing was weighed.
std::vector<Rival> rivals_of(const Observations& observations, const std::vector<Source>& sources,
                             const JointPosterior* outcome, const Findings& findings);

/// "a motor or a fan": what a source that nobody declared may be, for a clause.
std::string rival_name(Neighbour neighbour);

}  // namespace tattletone::match
