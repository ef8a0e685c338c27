#pragma once

#include <algorithm>
#include <cmath>

namespace tattletone::match {

/// A logbook may come from a stranger, and whatever is read from it is drawn, summed and counted with. These
/// bounds lie far outside what a measurement gives (a sample of 3e38, the largest float, is +771 dBFS).
inline constexpr double most_plausible_db = 1000.0;
inline constexpr double highest_plausible_hz = 1e10;  // as in the board sheet
inline constexpr double highest_plausible_order = 1e6;
inline constexpr double longest_plausible_seconds = 1e9;

/// The nearest plausible value; `otherwise` where it is no number.
inline double bounded(double value, double low, double high, double otherwise) {
    return std::isnan(value) ? otherwise : std::clamp(value, low, high);
}
inline double plausible_db(double value) {
    return bounded(value, -most_plausible_db, most_plausible_db, -most_plausible_db);
}
inline double plausible_hz(double value) {
    return bounded(value, 0.0, highest_plausible_hz, 0.0);
}
inline double plausible_probability(double value) {
    return bounded(value, 0.0, 1.0, 0.0);
}

}  // namespace tattletone::match
