#pragma once

#include <string>
#include <vector>

#include "match/search/joint_posterior.h"

namespace tattletone::match {

/// Where the model ends for this sheet and these recordings: rates with multiples beyond those that are
/// compared, tones that are too many to accuse anybody.
std::vector<std::string> sheet_notices(const Observations& observations);

/// Where the search ended before it had weighed everything, and what that makes of the probabilities.
std::vector<std::string> search_notices(const Observations& observations, const std::vector<Source>& sources,
                                        const JointPosterior& outcome);

}  // namespace tattletone::match
