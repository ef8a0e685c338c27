#pragma once

#include <string>
#include <vector>

#include "match/joint.h"

namespace tattletone {

/// Why a declared rate is a suspect, or not more of one: plain sentences, the weightiest first, each
/// computed from the outcome.
std::vector<std::string> reasons_for(const Scene& scene, const UnitTones& unit,
                                     const std::vector<Singer>& singers, const JointOutcome& outcome,
                                     int singer, const CardGrid& grid);

}  // namespace tattletone
