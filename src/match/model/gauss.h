#pragma once

#include <algorithm>
#include <cmath>
#include <numbers>

namespace tattletone::match {

inline constexpr double log_root_two_pi = 0.91893853320467274178;

inline double log_normal_density(double x, double mean, double sd) {
    const double z = (x - mean) / sd;
    return -0.5 * z * z - std::log(sd) - log_root_two_pi;
}

inline double normal_below(double z) {
    return 0.5 * std::erfc(-z / std::numbers::sqrt2);
}

/// The same by linear interpolation in a table of step 1/64 (error below 1e-5, absolute), fast
/// enough for the many visibilities of a board.
double quick_normal_below(double z);

inline double log_add(double a, double b) {
    const double top = std::max(a, b);
    if (!(top > -1e300)) return top;
    return top + std::log1p(std::exp(std::min(a, b) - top));
}

}  // namespace tattletone::match
