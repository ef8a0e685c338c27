#include "toggle/plan/codes.h"

#include <algorithm>
#include <bit>
#include <cmath>
#include <utility>

#include "base/wide_loops.h"

namespace tattletone::toggle {
namespace {

// In standard deviations, √steps, of the number of equal steps less unequal ones of a random column and another.
constexpr double most_alike_itself = 3.2, most_alike_shifted = 3.6, most_alike_now = 2.0;

std::size_t below(Generator& generator, std::size_t count) {
    const std::uint64_t values = count, last = ~std::uint64_t{0} - (~std::uint64_t{0} % values + 1) % values;
    std::uint64_t drawn = generator();
    while (drawn > last) drawn = generator();
    return static_cast<std::size_t>(drawn % values);
}

// A bit a step, twice round, so that each shift of the column stands in it in one piece.
class Bits {
  public:
    explicit Bits(const Column& column) : steps_(column.size()), words_(2 * steps_ / bits_a_word + 2, 0) {
        for (std::size_t i = 0; i < 2 * steps_; ++i)
            words_[i / bits_a_word] |= std::uint64_t{column[i % steps_]} << i % bits_a_word;
    }
    const std::uint64_t* words() const { return words_.data(); }

    static constexpr std::size_t bits_a_word = 64;

  private:
    std::size_t steps_;
    std::vector<std::uint64_t> words_;
};

// Whether at one of the shifts from `first` to `last` equal and unequal steps are more than `most` apart in number.
TATTLETONE_WIDE_LOOPS
bool are_alike(const std::uint64_t* a, const std::uint64_t* b, std::size_t steps, std::size_t first, std::size_t last,
               double most) {
    constexpr std::size_t bits = Bits::bits_a_word;
    for (std::size_t shift = first; shift <= last; ++shift) {
        const std::uint64_t* const from = b + shift / bits;
        const std::size_t by = shift % bits;
        std::size_t other = 0;
        for (std::size_t word = 0; word * bits < steps; ++word) {
            std::uint64_t shifted = from[word] >> by;
            if (by > 0) shifted |= from[word + 1] << (bits - by);
            std::uint64_t differ = shifted ^ a[word];
            if (steps - word * bits < bits) differ &= (std::uint64_t{1} << (steps - word * bits)) - 1;
            other += static_cast<std::size_t>(std::popcount(differ));
        }
        if (std::abs(2.0 * static_cast<double>(other) - static_cast<double>(steps)) > most) return true;
    }
    return false;
}

}  // namespace

double agreement(const Column& a, const Column& b, std::size_t shift) {
    const std::size_t steps = a.size();
    std::size_t same = 0;
    for (std::size_t i = 0; i < steps; ++i) same += static_cast<std::size_t>(a[i] == b[(i + shift) % steps]);
    return 2.0 * static_cast<double>(same) / static_cast<double>(steps) - 1.0;
}

std::size_t longest_run(std::size_t steps) {
    return static_cast<std::size_t>(std::bit_width(steps)) + 1;
}

bool acceptable(const Column& column) {
    const std::size_t steps = column.size();
    const auto on = static_cast<std::size_t>(std::count(column.begin(), column.end(), 1));
    if (on < steps / 2 || on > (steps + 1) / 2) return false;
    std::size_t run = 1;
    const std::size_t longest = longest_run(steps);
    for (std::size_t i = 1; i < 2 * steps; ++i) {
        run = column[i < steps ? i : i - steps] == column[i <= steps ? i - 1 : i - 1 - steps] ? run + 1 : 1;
        if (run > longest) return false;
    }
    const Bits bits(column);
    return !are_alike(bits.words(), bits.words(), steps, 1, steps / 2,
                      most_alike_itself * std::sqrt(static_cast<double>(steps)));
}

bool acceptable(const Column& a, const Column& b) {
    const double root = std::sqrt(static_cast<double>(a.size()));
    const Bits bits_a(a), bits_b(b);
    return !are_alike(bits_a.words(), bits_b.words(), a.size(), 0, 0, most_alike_now * root) &&
           !are_alike(bits_a.words(), bits_b.words(), a.size(), 1, a.size() - 1, most_alike_shifted * root);
}

Column draw_column(Generator& generator, std::size_t steps) {
    for (;;) {
        Column column(steps, 0);
        const std::size_t on = steps / 2 + (steps % 2 == 1 ? below(generator, 2) : 0);
        std::fill_n(column.begin(), on, std::uint8_t{1});
        for (std::size_t i = steps - 1; i > 0; --i) std::swap(column[i], column[below(generator, i + 1)]);
        if (acceptable(column)) return column;
    }
}

std::vector<Column> draw_columns(Generator& generator, std::size_t parts, std::size_t steps) {
    for (;;) {
        std::vector<Column> columns;
        for (std::size_t i = 0; i < parts; ++i) columns.push_back(draw_column(generator, steps));
        bool all = true;
        for (std::size_t i = 0; all && i < parts; ++i)
            for (std::size_t j = 0; all && j < i; ++j) all = acceptable(columns[i], columns[j]);
        if (all) return columns;
    }
}

}  // namespace tattletone::toggle
