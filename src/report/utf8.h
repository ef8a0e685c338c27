#pragma once

#include <string>
#include <string_view>

namespace tattletone {

/// `text` with every byte that is no part of well-formed UTF-8 (RFC 3629) replaced by U+FFFD.
std::string clean_utf8(std::string_view text);

/// The same, and control characters by '?', so that a file name cannot steer a terminal.
std::string printable(std::string_view text);

/// Columns that well-formed UTF-8 takes in a terminal: one a character, two for East Asian wide
/// ones, none for combining marks of the Latin, Greek and Cyrillic kind.
int display_columns(std::string_view text);

}  // namespace tattletone
