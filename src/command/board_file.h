#pragma once

#include <optional>
#include <string>

#include "board/sheet.h"

namespace tattletone {

/// Reads a board sheet; tells every error of it on standard error and gives nothing then.
std::optional<BoardSheet> load_board(const std::string& path);

/// Index of `state` in the sheet; tells the list and gives nothing where it is not in it.
std::optional<int> find_state(const BoardSheet& sheet, const std::string& state);

}  // namespace tattletone
