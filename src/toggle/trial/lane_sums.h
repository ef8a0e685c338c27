#pragma once

#include <cstddef>
#include <cstdint>

namespace tattletone::toggle {

/// The arithmetic of `ColumnSearch`: rows of 32 lanes, a lane a line.
inline constexpr std::size_t lanes_together = 32, patterns = 16, piece_steps = 24;

/// For each group of four steps (rows of `levels`) the 16 sums with each sign that four bits can give.
void fill_patterns(const std::int16_t* levels, std::size_t groups, std::int16_t* table);

/// One piece at `shifts` shifts of the column, each a step: the sum of its six groups, each by its bits, `nibbles[0]`,
/// `nibbles[4]` … `nibbles[20]` of a shift, the next shift's beginning one behind. The sum of the first stands in row
/// `place` of `sums`, each further one four rows above, of `places` round.
void sum_piece(const std::int16_t* table, const std::uint8_t* nibbles, std::size_t shifts, std::size_t place,
               std::size_t places, std::int16_t* sums);

/// For every place the pieces' sums, each moved by `moved[piece]` rows, added; by lane the largest size of these, where
/// it is over what stands in `largest`. The rows of a piece begin with `margin` that stand before the first place;
/// `partial` has room for a row a place; places come in fours.
void largest_of_pieces(const std::int16_t* sums, std::size_t pieces, std::size_t rows, std::size_t margin,
                       std::size_t places, const int* moved, std::int16_t* partial, std::int16_t* largest);

}  // namespace tattletone::toggle
