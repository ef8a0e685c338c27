#pragma once

#include <functional>
#include <string>
#include <vector>

#include "logbook/logbook.h"

namespace tattletone::logbook {

struct CheckReport {
    long long units = 0, measurements = 0, complaints = 0, clips = 0;
    std::vector<std::string> problems;   ///< sentences; empty: all is well
    std::vector<std::string> conflicts;  ///< what two benches say differently, from merging
    int unneeded = 0;                    ///< recordings that no record needs
    bool unneeded_removed = false;
    std::vector<std::string> half_made;  ///< paths of what killed processes left (passing_files.h)
    bool half_made_removed = false;
};

/// Verifies the file's structure, what its entries say (record_check.h), every sheet's and every recording's
/// hash, and that every recording is there and needed. With `repair` the unneeded ones are taken away, and
/// so is what killed processes left; a missing
/// or changed recording is only told, since its record is still worth something. `progress` is
/// called with the recordings done, and may be empty.
Result<CheckReport> check_logbook(Logbook& logbook, bool repair,
                                  const std::function<void(long long done, long long of)>& progress);

}  // namespace tattletone::logbook
