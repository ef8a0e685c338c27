#pragma once

#include <string>
#include <vector>

#include "match/joint.h"

namespace tattletone {

/// Where the model ends for this sheet and these recordings: rates with multiples beyond those that are
/// compared, tones that are too many to accuse anybody.
std::vector<std::string> sheet_notices(const Scene& scene);

/// Where the search ended before it had weighed everything, and what that makes of the probabilities.
std::vector<std::string> search_notices(const Scene& scene, const std::vector<Singer>& singers,
                                        const JointOutcome& outcome);

}  // namespace tattletone
