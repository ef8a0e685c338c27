#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "board/sheet/sheet_reader.h"

namespace tattletone::board {

/// Looks at a text before the TOML library does, for what that library bears badly and TOML 1.0 forbids anyway: bytes
/// that are no UTF-8, control characters (NUL and a carriage return without a line feed among them), characters
/// outside quotes and comments that are not ASCII; and for nesting of lists, inline tables and dotted names beyond
/// `most_levels` each, which it follows by recursion. Adds an error for each, the first of a line and at most 20;
/// true where there was none.
bool screen_syntax(std::string_view text, const std::string& name, std::vector<SheetError>& errors);

inline constexpr int most_levels = 32;

}  // namespace tattletone::board
