#pragma once

#include <optional>
#include <span>

#include "logbook/database.h"

namespace tattletone {

/// "Tatt": SQLite's application_id of our files (bytes 68 to 71 of the file).
inline constexpr int logbook_application_id = 0x54617474;

/// The steps from an empty file to the present version: step n leads from version n to n + 1 and
/// never changes once released. The version stands in SQLite's user_version.
std::span<const char* const> schema_steps();

/// Brings the file to the present version, each step in a transaction of its own. Errors: no
/// logbook, of a newer version.
std::optional<Error> bring_up_to_date(Database& database);

}  // namespace tattletone
