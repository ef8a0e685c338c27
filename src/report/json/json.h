#pragma once

#include <string>

#include "match/findings.h"

namespace tattletone::report {

/// The findings as one line of JSON in the format "tattletone findings 1" (README, "The JSON"),
/// without a final line break. Bytes that are no UTF-8 become U+FFFD, numbers that are no numbers
/// null.
std::string findings_json(const match::Findings& findings);

}  // namespace tattletone::report
