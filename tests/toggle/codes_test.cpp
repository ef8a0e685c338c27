// What a plan is drawn from. Outside: S. W. Golomb, Shift Register Sequences, 1967 (properties of m-sequences; the
// three primitive polynomials are common tables' first of their degree, and the period is checked here).

#include <catch2/catch.hpp>

#include <cmath>
#include <map>

#include "toggle/plan/codes.h"

using namespace tattletone;

namespace {

// x^degree + x^tap + 1, from a register of ones.
toggle::Column m_sequence(int degree, int tap) {
    const auto length = (std::size_t{1} << degree) - 1;
    toggle::Column sequence(static_cast<std::size_t>(degree), 1);
    while (sequence.size() < length + static_cast<std::size_t>(degree)) {
        const std::size_t i = sequence.size() - static_cast<std::size_t>(degree);
        sequence.push_back(sequence[i] ^ sequence[i + static_cast<std::size_t>(tap)]);
    }
    // The register comes back to its beginning after the whole period and not before, which the autocorrelation shows.
    REQUIRE(std::equal(sequence.begin(), sequence.begin() + degree, sequence.end() - degree));
    sequence.resize(length);
    return sequence;
}

// A sum of squares over its expectations, of so many draws that each value has 100: its quantile of 0.9999 by Wilson
// and Hilferty's approximation (1931).
bool is_even(const std::map<std::vector<toggle::Column>, int>& counts, std::size_t values, int draws) {
    const double expected = static_cast<double>(draws) / static_cast<double>(values),
                 free = static_cast<double>(values - 1);
    double sum = (static_cast<double>(values) - static_cast<double>(counts.size())) * expected;
    for (const auto& [columns, count] : counts) sum += (count - expected) * (count - expected) / expected;
    const double limit = free * std::pow(1.0 - 2.0 / (9.0 * free) + 3.719 * std::sqrt(2.0 / (9.0 * free)), 3.0);
    INFO(sum << " of at most " << limit);
    return sum < limit;
}

std::vector<toggle::Column> all_acceptable(std::size_t steps) {
    std::vector<toggle::Column> all;
    for (unsigned bits = 0; bits < 1u << steps; ++bits) {
        toggle::Column column;
        for (std::size_t i = 0; i < steps; ++i) column.push_back(bits >> i & 1u);
        if (toggle::acceptable(column)) all.push_back(column);
    }
    return all;
}

}  // namespace

TEST_CASE("m-sequences have the two-valued agreement that Golomb gives") {
    for (const auto& [degree, tap] : {std::pair{5, 2}, {6, 1}, {7, 1}}) {
        const toggle::Column sequence = m_sequence(degree, tap);
        const double length = static_cast<double>(sequence.size());
        CHECK(std::count(sequence.begin(), sequence.end(), 1) == (1 << (degree - 1)));
        CHECK(toggle::agreement(sequence, sequence, 0) == 1.0);
        for (std::size_t shift = 1; shift < sequence.size(); ++shift)
            CHECK(toggle::agreement(sequence, sequence, shift) == Approx(-1.0 / length).margin(1e-12));
        // Balanced, no long run, nothing like its own shifts: the best codes pass what plans have to.
        CHECK(toggle::acceptable(sequence));
    }
}

TEST_CASE("columns are balanced, unlike their shifts and each other's") {
    toggle::Generator generator(20);
    for (const std::size_t steps : {32u, 61u, 120u, 400u}) {
        const auto columns = toggle::draw_columns(generator, 4, steps);
        const double sd = 1.0 / std::sqrt(static_cast<double>(steps));
        for (std::size_t i = 0; i < columns.size(); ++i) {
            const auto on = static_cast<std::size_t>(std::count(columns[i].begin(), columns[i].end(), 1));
            CHECK((on == steps / 2 || on == (steps + 1) / 2));
            for (std::size_t j = 0; j <= i; ++j)
                for (std::size_t shift = i == j ? 1 : 0; shift < steps; ++shift)
                    CHECK(std::abs(toggle::agreement(columns[i], columns[j], shift)) <= 3.6 * sd);
        }
    }
}

TEST_CASE("every acceptable plan is drawn as often as every other") {
    toggle::Generator generator(21);
    const auto singles = all_acceptable(12);
    REQUIRE(singles.size() > 50);
    std::map<std::vector<toggle::Column>, int> counts;
    const int draws = 100 * static_cast<int>(singles.size());
    for (int i = 0; i < draws; ++i) ++counts[{toggle::draw_column(generator, 12)}];
    CHECK(is_even(counts, singles.size(), draws));

    // Pairs: what is left of the first when the second is kept must be even too, or a part could not be drawn anew.
    const auto short_ones = all_acceptable(8);
    std::size_t pairs = 0;
    for (const auto& a : short_ones)
        for (const auto& b : short_ones) pairs += toggle::acceptable(a, b);
    REQUIRE(pairs > 50);
    counts.clear();
    const int pair_draws = 100 * static_cast<int>(pairs);
    for (int i = 0; i < pair_draws; ++i) ++counts[toggle::draw_columns(generator, 2, 8)];
    CHECK(is_even(counts, pairs, pair_draws));
}

TEST_CASE("a seed draws one plan, another seed another") {
    const auto draw = [](std::uint64_t seed) {
        toggle::Generator generator(seed);
        return toggle::draw_columns(generator, 2, 60);
    };
    CHECK(draw(5) == draw(5));
    CHECK(draw(5) != draw(6));
    // The standard fixes the ten-thousandth number of the engine (ISO C++, [rand.predef]), so plans are the same
    // everywhere.
    toggle::Generator engine;
    engine.discard(9999);
    CHECK(engine() == 9981545732273789042ull);
}
