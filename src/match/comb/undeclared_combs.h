#pragma once

#include <vector>

#include "match/findings.h"
#include "match/model/observations.h"
#include "match/model/source.h"
#include "match/search/joint_posterior.h"

namespace tattletone::match {

/// Sources of many lines at the multiples of one fundamental between 20 Hz and 5 kHz that no declared rate explains,
/// from found lines and faint ones together (MODEL.md 26a); the likeliest first. `outcome` may be null: then there is
/// no sheet. Needs what `findings` says of tones and suspects.
std::vector<UndeclaredComb> undeclared_combs(const Observations& observations, const std::vector<Source>& sources,
                                             const JointPosterior* outcome, const Findings& findings);

}  // namespace tattletone::match
