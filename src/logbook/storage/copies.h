#pragma once

#include <string>
#include <vector>

#include "base/files/output_file.h"
#include "logbook/logbook.h"

namespace tattletone::logbook {

/// A copy of the logbook as it is at one moment, with its recordings, while others may go on writing.
/// What stands at the place is replaced by the rule of output_file.h, and only when the copy is whole.
/// The logbook remembers the copy by its fingerprint. Returns sentences about recordings that could
/// not be copied.
Result<std::vector<std::string>> back_up(Logbook& logbook, base::OutputFile place);

struct MergeReport {
    long long units = 0, measurements = 0, opinions = 0, complaints = 0, clips = 0;  ///< new ones
    std::vector<std::string> conflicts;  ///< what is kept here and what the other says
    std::vector<std::string> removed;    ///< complaints deleted here because they were deleted there
    std::vector<std::string> problems;   ///< recordings that the other lacks or misnames
};

/// Joins another logbook into this one, which alone is changed. Records are known by their UUIDs and
/// recordings by content, so that nothing is doubled and merging again changes nothing. Where both
/// say something different of one record, this one's stays and the other's is kept as a conflict.
/// What was deleted here or there stays deleted. The other may be a stranger's: where a check of it would
/// find anything but missing recordings, nothing is taken in and nothing is changed here.
Result<MergeReport> merge(Logbook& logbook, const std::string& other_path);

}  // namespace tattletone::logbook
