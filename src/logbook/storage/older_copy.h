#pragma once

#include <optional>
#include <string>

#include "logbook/logbook.h"

namespace tattletone::logbook {

/// A fingerprint of every record in a logbook, in whatever layout they lie on the disk. `copy_made`, the list of
/// the copies' fingerprints that a logbook keeps, does not count. Error: it cannot be read.
Result<std::string> fingerprint_of(Database& database);

/// Whether the database at `path` may give way to a new copy of `own`: it is one of the copies that `own` knows to
/// have made, and nobody has written in it since. With `overwrite` it is enough that `own` has every record of it (as
/// of copies from versions that kept no list, or in which something was only corrected); what has records that `own`
/// lacks is never released. The file is not touched.
std::optional<Error> judge_older_copy(Logbook& own, const std::string& path, bool overwrite);

/// Whether the recordings of a copy at `path` may go into `path`.clips: there is nothing yet, or a store of recordings
/// that belongs to the copy which is replaced, or holds recordings of `own` only.
std::optional<Error> judge_clips_folder(Logbook& own, const std::string& path);

}  // namespace tattletone::logbook
