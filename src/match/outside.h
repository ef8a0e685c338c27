#pragma once

#include "match/findings.h"
#include "match/search/joint_posterior.h"

namespace tattletone::match {

/// A rate that fits only far outside its tolerance asks for a check of its setting and accuses nobody: its probability
/// is held under what names a suspect, unless a trial shows that its part drives a tone (MODEL.md 13).
void hold_outside(const Observations& observations, const std::vector<Source>& sources, const JointPosterior& outcome,
                  Findings& findings);

}  // namespace tattletone::match
