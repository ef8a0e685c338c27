#include "toggle/trial/regression.h"

#include <algorithm>
#include <cmath>

namespace tattletone::toggle {
namespace {

// The inverse of a symmetric positive matrix, by Gauss and Jordan; a tiny ridge keeps twins apart.
std::vector<std::vector<double>> inverse(std::vector<std::vector<double>> matrix) {
    const std::size_t size = matrix.size();
    std::vector<std::vector<double>> result(size, std::vector<double>(size, 0.0));
    for (std::size_t i = 0; i < size; ++i) {
        result[i][i] = 1.0;
        matrix[i][i] *= 1.0 + 1e-9;
    }
    for (std::size_t i = 0; i < size; ++i) {
        const double pivot = matrix[i][i];
        for (std::size_t j = 0; j < size; ++j) {
            matrix[i][j] /= pivot;
            result[i][j] /= pivot;
        }
        for (std::size_t k = 0; k < size; ++k) {
            const double factor = matrix[k][i];
            if (k == i || factor == 0.0) continue;
            for (std::size_t j = 0; j < size; ++j) {
                matrix[k][j] -= factor * matrix[i][j];
                result[k][j] -= factor * result[i][j];
            }
        }
    }
    return result;
}

}  // namespace

double dot(const std::vector<double>& a, const std::vector<double>& b) {
    double sum = 0.0;
    for (std::size_t i = 0; i < a.size(); ++i) sum += a[i] * b[i];
    return sum;
}

std::vector<std::vector<double>> orthonormal(std::vector<std::vector<double>> vectors) {
    std::vector<std::vector<double>> basis;
    for (std::vector<double>& vector : vectors) {
        const double before = dot(vector, vector);
        take_out(basis, vector);
        take_out(basis, vector);
        const double square = dot(vector, vector);
        if (square <= 1e-9 * before) continue;
        for (double& value : vector) value /= std::sqrt(square);
        basis.push_back(std::move(vector));
    }
    return basis;
}

void take_out(const std::vector<std::vector<double>>& basis, std::vector<double>& vector) {
    for (const auto& direction : basis) {
        const double along = dot(direction, vector);
        for (std::size_t i = 0; i < vector.size(); ++i) vector[i] -= along * direction[i];
    }
}

Regression regress(const std::vector<double>& values, const std::vector<std::vector<double>>& columns) {
    const std::size_t count = values.size(), size = columns.size() + 1;
    const auto at = [&](std::size_t k, std::size_t i) { return k == 0 ? 1.0 : columns[k - 1][i]; };
    std::vector<std::vector<double>> normal(size, std::vector<double>(size, 0.0)), meat = normal;
    std::vector<double> right(size, 0.0);
    for (std::size_t i = 0; i < count; ++i)
        for (std::size_t k = 0; k < size; ++k) {
            right[k] += at(k, i) * values[i];
            for (std::size_t j = 0; j < size; ++j) normal[k][j] += at(k, i) * at(j, i);
        }
    const auto solved = inverse(normal);
    Regression regression;
    regression.coefficients.assign(size, 0.0);
    for (std::size_t k = 0; k < size; ++k)
        for (std::size_t j = 0; j < size; ++j) regression.coefficients[k] += solved[k][j] * right[j];
    for (std::size_t i = 0; i < count; ++i) {
        double rest = values[i];
        for (std::size_t k = 0; k < size; ++k) rest -= regression.coefficients[k] * at(k, i);
        for (std::size_t k = 0; k < size; ++k)
            for (std::size_t j = 0; j < size; ++j) meat[k][j] += rest * rest * at(k, i) * at(j, i);
    }
    const double spare =
        static_cast<double>(count) / std::max(1.0, static_cast<double>(count) - static_cast<double>(size));
    std::vector<std::vector<double>> half(size, std::vector<double>(size, 0.0));
    regression.covariance = half;
    for (std::size_t k = 0; k < size; ++k)
        for (std::size_t j = 0; j < size; ++j)
            for (std::size_t l = 0; l < size; ++l) half[k][j] += solved[k][l] * meat[l][j];
    for (std::size_t k = 0; k < size; ++k)
        for (std::size_t j = 0; j < size; ++j)
            for (std::size_t l = 0; l < size; ++l) regression.covariance[k][j] += spare * half[k][l] * solved[l][j];
    return regression;
}

}  // namespace tattletone::toggle
