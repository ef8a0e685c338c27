#include "base/text/number.h"

#include <algorithm>
#include <charconv>
#include <cmath>

namespace tattletone::base {

std::string fixed(double value, int decimals) {
    if (!std::isfinite(value)) return "?";
    char text[400];
    const auto [end, problem] = std::to_chars(text, text + sizeof text, value, std::chars_format::fixed, decimals);
    if (problem != std::errc()) return "?";
    std::string result(text, end);
    if (result[0] == '-' && result.find_first_not_of("-0.") == std::string::npos) result.erase(0, 1);
    return result;
}

std::string trimmed(double value, int decimals) {
    std::string text = fixed(value, decimals);
    if (text.find('.') == std::string::npos) return text;
    text.erase(text.find_last_not_of('0') + 1);
    if (text.back() == '.') text.pop_back();
    return text;
}

std::string significant(double value, int digits) {
    if (value == 0.0 || !std::isfinite(value)) return fixed(value, 0);
    const int before = static_cast<int>(std::floor(std::log10(std::abs(value)))) + 1;
    return trimmed(value, std::clamp(digits - before, 0, 12));
}

int decimals_for(double standard_deviation) {
    if (!(standard_deviation > 0.0) || !std::isfinite(standard_deviation)) return 3;
    const double exponent = std::floor(std::log10(standard_deviation));
    const bool leads_with_one = standard_deviation / std::pow(10.0, exponent) < 1.95;
    return static_cast<int>(std::clamp(-exponent + (leads_with_one ? 1.0 : 0.0), 0.0, 6.0));
}

std::string with_uncertainty(double value, double standard_deviation) {
    const int decimals = decimals_for(standard_deviation);
    return fixed(value, decimals) + " ± " + fixed(standard_deviation, decimals);
}

std::string short_hz(double hz) {
    if (std::abs(hz) < 10000.0) return significant(hz, 5) + " Hz";
    if (std::abs(hz) < 1e7) return significant(hz / 1e3, 5) + " kHz";
    return significant(hz / 1e6, 5) + " MHz";
}

std::vector<double> multiples_between(double low, double high, double step) {
    constexpr double most = 50.0;
    std::vector<double> values;
    if (!std::isfinite(high - low) || !(high >= low) || !(step > 0.0)) return values;
    while ((high - low) / step > most) step *= 10.0;
    const double first = std::ceil(low / step);
    // Beyond 2^53 one more step is no other number.
    if (!(std::max(std::abs(low), std::abs(high)) / step < 9e15)) return values;
    for (double i = first; i * step <= high; ++i) values.push_back(i * step);
    return values;
}

std::string count_of(long long count, const char* one, const char* many) {
    return std::to_string(count) + " " + (count == 1 ? one : many);
}

}  // namespace tattletone::base
