#pragma once

#include <string>
#include <vector>

#include "logbook/logbook.h"
#include "logbook/storage/database.h"
#include "match/findings.h"

namespace tattletone::logbook {

/// Findings again, from their JSON (`match::findings_of_json`) and the kept floors: what a picture and a page need.
/// What only that day's answer tells (experiments, outcomes, spots, drifts, the sound card) is left out.
Result<match::Findings> findings_of(Logbook& logbook, const std::string& json,
                                    const std::vector<std::vector<tones::FloorPoint>>& floors);
Result<match::Findings> findings_of(Database& database, const std::string& json,
                                    const std::vector<std::vector<tones::FloorPoint>>& floors);

}  // namespace tattletone::logbook
