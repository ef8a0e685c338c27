#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "board/sheet/sheet.h"

namespace tattletone::board {

/// Something wrong in a board sheet. `line` and `column` count from 1; 0 where the file as a whole
/// is meant (it cannot be read, it is empty).
struct SheetError {
    std::string file;
    int line = 0, column = 0;
    std::string what, todo;
};

/// `where` is file:line:column.
Error to_error(const SheetError& error);

/// Either a sheet and no errors, or no sheet and every error in the order of the file; of more than 50 the first 50,
/// and one that counts the others.
struct SheetReading {
    std::optional<BoardSheet> sheet;
    std::vector<SheetError> errors;
};

/// A board sheet is TOML 1.0 in UTF-8, at most 1 MB (README, "The board sheet").
SheetReading read_sheet(const std::string& path);

/// The same for text that is already here; `name` stands where the path would.
SheetReading parse_sheet(std::string_view text, const std::string& name);

}  // namespace tattletone::board
