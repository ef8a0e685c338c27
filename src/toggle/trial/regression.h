#pragma once

#include <vector>

namespace tattletone::toggle {

/// Least squares of `values` on a constant and the `columns` (each as long, ±1/2), with White's covariance, which
/// needs no equal variances (H. White, Econometrica 48, 1980, with n / (n - k)).
struct Regression {
    std::vector<double> coefficients;  ///< the constant first
    std::vector<std::vector<double>> covariance;
};
Regression regress(const std::vector<double>& values, const std::vector<std::vector<double>>& columns);

/// `vectors` as an orthonormal basis, without those that depend on others.
std::vector<std::vector<double>> orthonormal(std::vector<std::vector<double>> vectors);
/// What `basis` leaves of `vector`.
void take_out(const std::vector<std::vector<double>>& basis, std::vector<double>& vector);
double dot(const std::vector<double>& a, const std::vector<double>& b);

}  // namespace tattletone::toggle
