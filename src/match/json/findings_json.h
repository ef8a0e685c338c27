#pragma once

#include <string>

#include "base/text/json_writer.h"
#include "match/findings.h"

namespace tattletone::match {

inline constexpr const char* findings_format = "tattletone findings 1";

/// The findings as one line of JSON in the format `findings_format` (README, "The JSON"), without a final line
/// break; `parts` stand behind the other keys. Bytes that are no UTF-8 become U+FFFD, numbers that are no numbers
/// null.
std::string findings_json(const Findings& findings, const base::JsonParts& parts = {});

/// The keys 'outcomes' and 'next' of the object that is open.
void write_outcomes_and_next(base::JsonWriter& json, const Findings& findings);

}  // namespace tattletone::match
