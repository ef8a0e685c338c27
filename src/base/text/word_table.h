#pragma once

#include <array>
#include <cstddef>
#include <string>
#include <string_view>

namespace tattletone::base {

/// A value of an enum and the word for it. Tables of words have a row for each value, in the order of the values;
/// their rows may hold more than these two.
template <class Value>
struct Word {
    Value value;
    const char* word;
};

template <class Row, std::size_t count>
consteval bool in_order(const std::array<Row, count>& table) {
    for (std::size_t i = 0; i < count; ++i)
        if (static_cast<std::size_t>(table[i].value) != i) return false;
    return true;
}

template <class Row, std::size_t count>
constexpr const Row& row_of(const std::array<Row, count>& table, decltype(Row::value) value) {
    return table.at(static_cast<std::size_t>(value));
}

/// Null where no value has this word.
template <class Row, std::size_t count>
constexpr const Row* row_with(const std::array<Row, count>& table, std::string_view word) {
    for (const Row& row : table)
        if (word == row.word) return &row;
    return nullptr;
}

/// "'board', 'room', 'mains', 'unsure'".
template <class Row, std::size_t count>
std::string all_words(const std::array<Row, count>& table) {
    std::string text;
    for (const Row& row : table) text += (text.empty() ? "'" : ", '") + std::string(row.word) + '\'';
    return text;
}

}  // namespace tattletone::base
