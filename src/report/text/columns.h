#pragma once

#include <string_view>

#include "base/text/printable.h"
#include "base/text/utf8.h"

namespace tattletone::report {

/// Columns that well-formed UTF-8 takes in a terminal: one a character, two for East Asian wide
/// ones, none for combining marks of the Latin, Greek and Cyrillic kind.
int display_columns(std::string_view text);

}  // namespace tattletone::report
