#pragma once

#include <string>
#include <string_view>

namespace tattletone {

/// `text` in lines of at most `columns`, broken at spaces (inside a word only where it is longer
/// than a line), the first behind `first`, the others behind `next` (prefixes). Ends with a line
/// break.
std::string wrapped(std::string_view text, int columns, std::string_view first = "",
                    std::string_view next = "");

/// `text` filled with spaces to `columns`, on the right or on the left.
std::string left_in(std::string_view text, int columns);
std::string right_in(std::string_view text, int columns);

/// A section's heading with a blank line before it, in bold by escape codes where `bold`.
std::string heading(std::string_view text, int columns, bool bold);

}  // namespace tattletone
