#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "board/sheet/sheet_reader.h"
#include "board/sheet/toml.h"

namespace tattletone::board {

/// What TOML makes of a text. After a syntax error in a plain `key = value` line that line is taken
/// out and reading goes on, so that all such errors are told at once.
struct Syntax {
    toml::table table;
    bool complete = true;  ///< false: lines are missing, so that a missing key means nothing
    bool usable = true;    ///< false: an error after which the rest cannot be judged
};
Syntax read_syntax(std::string_view text, const std::string& name, std::vector<SheetError>& errors);

}  // namespace tattletone::board
