#pragma once

#include <cstdint>
#include <random>
#include <vector>

namespace tattletone::toggle {

/// One part's switching, a step an entry: 1 on, 0 off.
using Column = std::vector<std::uint8_t>;

using Generator = std::mt19937_64;  ///< the standard fixes its numbers, so a seed gives one plan everywhere

/// Agreements less disagreements of `a` and `b` moved by `shift` steps round the end, as a share of the steps; 1 of a
/// column with itself. An m-sequence of N steps has -1/N at every other shift (Golomb, Shift Register Sequences, 1967).
double agreement(const Column& a, const Column& b, std::size_t shift);

/// What a column must be: as many steps on as off (one more or less where their number is odd), no run longer than
/// `longest_run`, no shift of it like itself. And two of them: neither like the other, nor like a shift of it.
bool acceptable(const Column& column);
bool acceptable(const Column& a, const Column& b);
std::size_t longest_run(std::size_t steps);

/// Every acceptable column with the same probability.
Column draw_column(Generator& generator, std::size_t steps);

/// Every plan of `parts` acceptable columns, all pairs of which are acceptable, with the same probability: columns are
/// drawn apart, and all anew where a pair is not. So one column, given the others, is any that is acceptable with them:
/// the set over which `trial.h` randomises.
std::vector<Column> draw_columns(Generator& generator, std::size_t parts, std::size_t steps);

}  // namespace tattletone::toggle
