#include "toggle/plan/codes.h"

#include <algorithm>
#include <bit>
#include <cmath>
#include <utility>

namespace tattletone::toggle {
namespace {

// In standard deviations of a random column's agreement with another, 1/√steps.
constexpr double most_alike_itself = 3.2, most_alike_shifted = 3.6, most_alike_now = 2.0;

std::size_t below(Generator& generator, std::size_t count) {
    const std::uint64_t values = count, last = ~std::uint64_t{0} - (~std::uint64_t{0} % values + 1) % values;
    std::uint64_t drawn = generator();
    while (drawn > last) drawn = generator();
    return static_cast<std::size_t>(drawn % values);
}

std::size_t equal_steps(const std::uint8_t* a, const std::uint8_t* b, std::size_t count) {
    std::size_t same = 0;
    for (std::size_t i = 0; i < count; ++i) same += static_cast<std::size_t>(a[i] == b[i]);
    return same;
}

}  // namespace

double agreement(const Column& a, const Column& b, std::size_t shift) {
    const std::size_t steps = a.size(), first = steps - shift % steps;
    const std::size_t same = equal_steps(a.data(), b.data() + (steps - first), first) +
                             equal_steps(a.data() + first, b.data(), steps - first);
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
    for (std::size_t i = 1; i < 2 * steps; ++i) {
        run = column[i % steps] == column[(i - 1) % steps] ? run + 1 : 1;
        if (run > longest_run(steps)) return false;
    }
    const double limit = most_alike_itself / std::sqrt(static_cast<double>(steps));
    for (std::size_t shift = 1; shift <= steps / 2; ++shift)
        if (std::abs(agreement(column, column, shift)) > limit) return false;
    return true;
}

bool acceptable(const Column& a, const Column& b) {
    const double sd = 1.0 / std::sqrt(static_cast<double>(a.size()));
    if (std::abs(agreement(a, b, 0)) > most_alike_now * sd) return false;
    for (std::size_t shift = 1; shift < a.size(); ++shift)
        if (std::abs(agreement(a, b, shift)) > most_alike_shifted * sd) return false;
    return true;
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
