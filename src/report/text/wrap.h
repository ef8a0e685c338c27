#pragma once

#include <string>
#include <string_view>

namespace tattletone::report {

/// All of these take any text and show what is `printable` of it (base/text/printable.h); the prefixes are the
/// caller's.

/// `text` in lines of at most `columns`, broken at spaces (inside a word only where it is longer
/// than a line), the first behind `first`, the others behind `next` (prefixes). Ends with a line
/// break.
std::string wrapped(std::string_view text, int columns, std::string_view first = "", std::string_view next = "");

/// The same for each line of a text that has several; empty lines stay.
std::string wrapped_lines(std::string_view text, int columns, std::string_view indent = "");

/// `text` filled with spaces to `columns`, on the right or on the left.
std::string left_in(std::string_view text, int columns);
std::string right_in(std::string_view text, int columns);

/// A section's heading with a blank line before it, in bold where `bold`.
std::string heading(std::string_view text, int columns, bool bold);

/// `text` between the marks that the console knows as bold (`printable_layout`).
std::string in_bold(std::string_view text);

}  // namespace tattletone::report
