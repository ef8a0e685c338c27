#pragma once

#include <span>
#include <string>
#include <string_view>

namespace tattletone::board {

/// The word of `known` that `typed` was probably meant to be, by edit distance; empty when none is
/// near (more than a third of its letters away).
std::string nearest_word(std::string_view typed, std::span<const std::string> known);

}  // namespace tattletone::board
