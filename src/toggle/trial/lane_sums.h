#pragma once

#include <cstddef>
#include <cstdint>

namespace tattletone::toggle {

/// The arithmetic of `ColumnSearch`: rows of 32 lanes, a lane a line.
inline constexpr std::size_t lanes_together = 32, patterns = 16, piece_steps = 24;

/// For each group of four steps (rows of `levels`) the 16 sums with each sign that four bits can give.
void fill_patterns(const std::int16_t* levels, std::size_t groups, std::int16_t* table);

/// One piece: the sum of its six groups, each by its bits, `nibbles[0]`, `nibbles[4]` … `nibbles[20]`.
void sum_piece(const std::int16_t* table, const std::uint8_t* nibbles, std::int16_t* sum);

/// For every place the pieces' sums, each moved by `moved[piece]` rows, added; by lane the largest size of these, where
/// it is over what stands in `largest`. The rows of a piece begin with `margin` that stand before the first place.
void largest_of_pieces(const std::int16_t* sums, std::size_t pieces, std::size_t rows, std::size_t margin,
                       std::size_t places, const int* moved, std::int16_t* largest);

}  // namespace tattletone::toggle
