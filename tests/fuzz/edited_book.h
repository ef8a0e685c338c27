#pragma once

#include <cstdint>
#include <span>
#include <string>

namespace tattletone {

/// The bytes of a real logbook of one unit with everything in it, made once at `path` (with its recordings).
std::string real_book(const std::string& path);

/// What a stranger with SQLite does to such a file: the input is a list of edits (a table, a row, a column and a
/// value; a row of the schema; the version; bytes of the file). Neither types, nor checks, nor keys hold while
/// they are made, and afterwards the schema says again that they do.
std::string edited(const std::string& book, std::span<const std::uint8_t> edits);

}  // namespace tattletone
