#pragma once

#include <cstdint>
#include <optional>

#include "logbook/storage/database.h"

namespace tattletone::logbook {

/// Above this level a steady line at `hz` would have been found in the measurement: in its best take of the board.
/// Nothing where no take reaches that frequency.
std::optional<double> least_audible_dbfs(Database& database, std::int64_t measurement, double hz);

}  // namespace tattletone::logbook
