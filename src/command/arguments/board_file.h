#pragma once

#include <optional>
#include <string>

#include "board/sheet/sheet.h"

namespace tattletone::command {

/// Reads a board sheet; tells every error of it on standard error and gives nothing then.
std::optional<board::BoardSheet> load_board(const std::string& path);

/// Index of `state` in the sheet, -1 where none is meant (empty); tells the list and gives nothing where it is not in
/// it.
std::optional<int> find_state(const board::BoardSheet& sheet, const std::string& state);

}  // namespace tattletone::command
