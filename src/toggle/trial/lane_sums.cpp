#include "toggle/trial/lane_sums.h"

#include <algorithm>

#include "base/wide_loops.h"

namespace tattletone::toggle {

TATTLETONE_WIDE_LOOPS
void fill_patterns(const std::int16_t* __restrict levels, std::size_t groups, std::int16_t* __restrict table) {
    for (std::size_t g = 0; g < groups; ++g)
        for (std::size_t pattern = 0; pattern < patterns; ++pattern) {
            std::int16_t* const row = table + (g * patterns + pattern) * lanes_together;
            const std::int16_t* const from = levels + 4 * g * lanes_together;
            for (std::size_t l = 0; l < lanes_together; ++l) {
                int sum = 0;
                for (std::size_t b = 0; b < 4; ++b)
                    sum += (pattern >> b & 1u) != 0 ? from[b * lanes_together + l] : -from[b * lanes_together + l];
                row[l] = static_cast<std::int16_t>(sum);
            }
        }
}

TATTLETONE_WIDE_LOOPS
void sum_piece(const std::int16_t* __restrict table, const std::uint8_t* __restrict nibbles,
               std::int16_t* __restrict sum) {
    constexpr std::size_t group = patterns * lanes_together;
    const std::int16_t* const a = table + nibbles[0] * lanes_together;
    const std::int16_t* const b = table + group + nibbles[4] * lanes_together;
    const std::int16_t* const c = table + 2 * group + nibbles[8] * lanes_together;
    const std::int16_t* const d = table + 3 * group + nibbles[12] * lanes_together;
    const std::int16_t* const e = table + 4 * group + nibbles[16] * lanes_together;
    const std::int16_t* const f = table + 5 * group + nibbles[20] * lanes_together;
    for (std::size_t l = 0; l < lanes_together; ++l)
        sum[l] = static_cast<std::int16_t>(a[l] + b[l] + c[l] + d[l] + e[l] + f[l]);
}

TATTLETONE_WIDE_LOOPS
void largest_of_pieces(const std::int16_t* __restrict sums, std::size_t pieces, std::size_t rows, std::size_t margin,
                       std::size_t places, const int* moved, std::int16_t* __restrict largest) {
    // Rows of zeros fill up the last six, so that six are always added at once.
    static constexpr std::int16_t nothing[lanes_together] = {};
    constexpr std::size_t together = 6;
    for (std::size_t place = 0; place < places; ++place) {
        std::int16_t sum[lanes_together] = {};
        for (std::size_t piece = 0; piece < pieces; piece += together) {
            const std::int16_t* from[together];
            for (std::size_t i = 0; i < together; ++i) {
                const auto row = static_cast<std::ptrdiff_t>((piece + i) * rows + margin + place);
                from[i] = piece + i < pieces
                              ? sums + (row + moved[piece + i]) * static_cast<std::ptrdiff_t>(lanes_together)
                              : nothing;
            }
            const std::int16_t *const a = from[0], *const b = from[1], *const c = from[2], *const d = from[3],
                                      *const e = from[4], *const f = from[5];
            for (std::size_t l = 0; l < lanes_together; ++l)
                sum[l] = static_cast<std::int16_t>(sum[l] + a[l] + b[l] + c[l] + d[l] + e[l] + f[l]);
        }
        for (std::size_t l = 0; l < lanes_together; ++l) {
            const auto size = static_cast<std::int16_t>(sum[l] < 0 ? -sum[l] : sum[l]);
            largest[l] = size > largest[l] ? size : largest[l];
        }
    }
}

}  // namespace tattletone::toggle
