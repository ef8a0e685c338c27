#pragma once

#include <string>
#include <vector>

namespace tattletone::base {

/// `value` with so many decimals, whatever the locale; no "-0". Not a number: "?".
std::string fixed(double value, int decimals);

/// The same without trailing zeros and without a bare point.
std::string trimmed(double value, int decimals);

/// So many significant digits, never with an exponent.
std::string significant(double value, int digits);

/// Decimals that an uncertainty leaves meaningful: its first digit that counts (two when that is a
/// 1), 0 to 6.
int decimals_for(double standard_deviation);

/// "9599.830 ± 0.004", both to the uncertainty's digits.
std::string with_uncertainty(double value, double standard_deviation);

/// A frequency for a sentence: "9600 Hz", "11.2 kHz", "500 kHz".
std::string short_hz(double hz);

/// "1 unit", "2 units".
std::string count_of(long long count, const char* one, const char* many);

/// The multiples of `step` from `low` to `high`, for the lines of a grid. Where these would be more than
/// fifty, of ten or a hundred times the step and so on; none where an end is no number or beyond what can
/// be counted in such steps.
std::vector<double> multiples_between(double low, double high, double step);

}  // namespace tattletone::base
