#pragma once

#include <span>

namespace tattletone::scope {

/// A straight line through the printed times of all rows, which are ascending (equal ones allowed).
struct TraceTimes {
    double start_seconds = 0.0, increment_seconds = 0.0;
    double increment_sd = 0.0;  ///< relative
    bool even = true;           ///< the times differ from the line by their printed resolution only
    std::size_t gap = 0;        ///< a row that comes after far more time than the others; 0: none
};
TraceTimes fit_times(std::span<const double> seconds);

}  // namespace tattletone::scope
