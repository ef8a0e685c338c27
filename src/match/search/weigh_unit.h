#pragma once

#include "match/search/joint_posterior.h"

namespace tattletone::match {

/// The posterior of a unit's sources, its stray tones' density told by itself (MODEL.md 5.2): sets every tone's
/// `log_undeclared`.
JointPosterior weigh_unit(Observations& observations, const std::vector<Source>& sources, const CardGrid& grid);

}  // namespace tattletone::match
