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

/// Singers with a tight tolerance that are heard: they pin the sound card's clock. Empty where it is not pinned.
std::vector<int> pinning(const Scene& scene, const std::vector<Singer>& singers, const JointOutcome& outcome);

/// Probability that it keeps its declared tolerance where it sings as it most likely does.
double keeps_tolerance(const Singer& singer, const SingerOutcome& found, const JointOutcome& outcome);

}  // namespace tattletone
