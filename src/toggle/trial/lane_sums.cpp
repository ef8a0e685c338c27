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
void sum_piece(const std::int16_t* __restrict table, const std::uint8_t* __restrict nibbles, std::size_t shifts,
               std::size_t place, std::size_t places, std::int16_t* __restrict sums) {
    constexpr std::size_t group = patterns * lanes_together;
    for (std::size_t shift = 0; shift < shifts; ++shift) {
        const std::uint8_t* const bits = nibbles + shift;
        const std::int16_t* const a = table + bits[0] * lanes_together;
        const std::int16_t* const b = table + group + bits[4] * lanes_together;
        const std::int16_t* const c = table + 2 * group + bits[8] * lanes_together;
        const std::int16_t* const d = table + 3 * group + bits[12] * lanes_together;
        const std::int16_t* const e = table + 4 * group + bits[16] * lanes_together;
        const std::int16_t* const f = table + 5 * group + bits[20] * lanes_together;
        std::int16_t* const sum = sums + place * lanes_together;
        for (std::size_t l = 0; l < lanes_together; ++l)
            sum[l] = static_cast<std::int16_t>(a[l] + b[l] + c[l] + d[l] + e[l] + f[l]);
        place = place >= 4 ? place - 4 : place + places - 4;
    }
}

TATTLETONE_WIDE_LOOPS
void largest_of_pieces(const std::int16_t* __restrict sums, std::size_t pieces, std::size_t rows, std::size_t margin,
                       std::size_t places, const int* moved, std::int16_t* __restrict partial,
                       std::int16_t* __restrict largest) {
    // Six pieces at once; a row of zeros that stays where it is fills them up.
    static constexpr std::int16_t nothing[lanes_together] = {};
    constexpr std::size_t together = 6;
    for (std::size_t piece = 0; piece < pieces; piece += together) {
        const std::int16_t* from[together];
        std::size_t by[together];
        for (std::size_t i = 0; i < together; ++i) {
            const auto row = static_cast<std::ptrdiff_t>((piece + i) * rows + margin);
            const bool is_there = piece + i < pieces;
            from[i] =
                is_there ? sums + (row + moved[piece + i]) * static_cast<std::ptrdiff_t>(lanes_together) : nothing;
            by[i] = is_there ? lanes_together : 0;
        }
        const std::int16_t *a = from[0], *b = from[1], *c = from[2], *d = from[3], *e = from[4], *f = from[5];
        const bool is_first = piece == 0, is_last = piece + together >= pieces;
        std::int16_t most[lanes_together];
        std::copy_n(largest, lanes_together, most);
        // Four places, a step's, before the largest is taken: else each would wait for the one before it.
        for (std::size_t place = 0; place < places; place += 4) {
            std::int16_t sum[4 * lanes_together];
            for (std::size_t row = 0; row < 4; ++row) {
                std::int16_t* const to = sum + row * lanes_together;
                for (std::size_t l = 0; l < lanes_together; ++l)
                    to[l] = static_cast<std::int16_t>(a[l] + b[l] + c[l] + d[l] + e[l] + f[l]);
                a += by[0], b += by[1], c += by[2], d += by[3], e += by[4], f += by[5];
            }
            std::int16_t* const kept = partial + place * lanes_together;
            if (!is_first)
                for (std::size_t l = 0; l < 4 * lanes_together; ++l)
                    sum[l] = static_cast<std::int16_t>(sum[l] + kept[l]);
            if (!is_last) {
                std::copy_n(sum, 4 * lanes_together, kept);
                continue;
            }
            for (std::size_t l = 0; l < lanes_together; ++l) {
                std::int16_t size = most[l];
                for (std::size_t row = 0; row < 4; ++row) {
                    const std::int16_t one = sum[row * lanes_together + l];
                    const auto other = static_cast<std::int16_t>(one < 0 ? -one : one);
                    size = other > size ? other : size;
                }
                most[l] = size;
            }
        }
        std::copy_n(most, lanes_together, largest);
    }
}

}  // namespace tattletone::toggle
