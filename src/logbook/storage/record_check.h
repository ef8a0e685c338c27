#pragma once

#include <string>
#include <vector>

#include "logbook/storage/database.h"

namespace tattletone::logbook {

/// What is wrong with the entries of a logbook whose tables are those of its version, as sentences; none:
/// all is well. Every entry may have been written by a stranger. The file's structure, what entries refer
/// to, board sheets against their hashes, findings, names, times, and numbers that no measurement gives.
/// Names of recordings are judged by themselves, below.
std::vector<std::string> problems_of_records(Database& database);

/// Recordings whose name is no hash, so that no path may be made of it.
long long clips_without_hash(Database& database);
/// Takes those entries away and leaves the others without that recording. Within the caller's transaction.
void drop_clips_without_hash(Database& database);

}  // namespace tattletone::logbook
