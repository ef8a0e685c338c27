#pragma once

#include <cstdint>
#include <string>
#include <string_view>

namespace tattletone::base {

/// `text` as one line that is safe on a terminal and hides nothing: what would steer the terminal, reorder the
/// line or leave no trace on it is written out as C and the shell's $'…' would, everything else stays.
///   line feed, carriage return, tab            \n \r \t
///   other C0 controls and DEL                  \x1b
///   a byte that is no part of UTF-8            \x9b
///   C1 controls, line and paragraph separators,
///   bidirectional marks and overrides, what
///   Unicode calls default-ignorable (zero
///   width, fillers, tags), noncharacters       \u202e, \U000e0041 above U+FFFF
/// Two kinds of the last stay where scripts and pictures need them: a variation selector (U+FE00 to U+FE0F) directly
/// behind a visible character that is not ASCII, and the joiners U+200C and U+200D between two such characters or
/// selectors. A backslash stays as it is, so that doing it twice changes nothing.
std::string printable(std::string_view text);

/// What somebody wrote as it may stand in a message: the first 40 characters, printable, and … for the others.
std::string briefly(std::string_view text);

/// `printable` for text of several lines: line feeds stay, and carriage returns before them.
std::string printable_lines(std::string_view text);

/// The same for what the program itself laid out: bold by `begin_bold` and `end_bold` stays too where `bold`, and
/// is taken out where not. Bold that is still open at the end is ended. Values come here through `printable`;
/// where that was forgotten, bold is all that they can do.
std::string printable_layout(std::string_view text, bool bold);
inline constexpr std::string_view begin_bold = "\033[1m", end_bold = "\033[0m";

/// True for the characters that `printable` always writes out.
bool must_be_written_out(std::uint32_t code);

}  // namespace tattletone::base
