#pragma once

#include <optional>
#include <span>

#include "logbook/storage/database.h"

namespace tattletone::logbook {

/// "Tatt": SQLite's application_id of our files (bytes 68 to 71 of the file).
inline constexpr int logbook_application_id = 0x54617474;

/// The steps from an empty file to the present version: step n leads from version n to n + 1 and
/// never changes once released. The version stands in SQLite's user_version.
std::span<const char* const> schema_steps();

/// What the present version is.
std::int64_t newest_version();

/// The file's version; 0 of an empty one. Errors: it is no logbook, of a version that no program wrote or
/// a newer one, or it has other tables than its version has: a view in place of a table, a trigger, a
/// column more. Then nothing of it may be read or written.
Result<std::int64_t> judge_schema(Database& database);

/// Brings the file to the present version, each step in a transaction of its own. Errors: those of
/// `judge_schema`.
std::optional<Error> bring_up_to_date(Database& database);

}  // namespace tattletone::logbook
