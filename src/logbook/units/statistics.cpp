#include "logbook/units/statistics.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <vector>

#include <boost/math/distributions/binomial.hpp>
#include <boost/math/distributions/hypergeometric.hpp>
#include <boost/math/distributions/normal.hpp>
#include <boost/math/distributions/students_t.hpp>

namespace tattletone::logbook {
namespace {

MeanDifference difference_of(double mean, double standard_error, double degrees) {
    const boost::math::students_t law(degrees);
    MeanDifference result;
    result.mean = mean;
    result.degrees = degrees;
    result.t = mean / standard_error;
    result.p = 2.0 * boost::math::cdf(boost::math::complement(law, std::abs(result.t)));
    const double half = boost::math::quantile(law, 0.975) * standard_error;
    result.interval = {mean - half, mean + half};
    return result;
}

}  // namespace

Interval wilson_interval(int count, int of, double confidence) {
    if (of <= 0) return {0.0, 1.0};
    const double z = boost::math::quantile(boost::math::normal(), 0.5 + 0.5 * confidence);
    const double n = of, share = count / n, zz = z * z;
    const double centre = (share + zz / (2.0 * n)) / (1.0 + zz / n);
    const double half = z / (1.0 + zz / n) * std::sqrt(share * (1.0 - share) / n + zz / (4.0 * n * n));
    return {count == 0 ? 0.0 : centre - half, count == of ? 1.0 : centre + half};
}

double fisher_exact(int a, int b, int c, int d) {
    const int row = a + b, column = a + c, all = a + b + c + d;
    if (row == 0 || column == 0 || row == all || column == all) return 1.0;
    const boost::math::hypergeometric law(static_cast<unsigned>(row), static_cast<unsigned>(column),
                                          static_cast<unsigned>(all));
    const double seen = boost::math::pdf(law, static_cast<unsigned>(a));
    double sum = 0.0;
    for (int k = std::max(0, row + column - all); k <= std::min(row, column); ++k) {
        const double probability = boost::math::pdf(law, static_cast<unsigned>(k));
        if (probability <= seen * (1.0 + 1e-7)) sum += probability;
    }
    return std::min(1.0, sum);
}

double mcnemar_exact(int one_way, int other_way) {
    const int changed = one_way + other_way;
    if (changed == 0) return 1.0;
    const boost::math::binomial law(changed, 0.5);
    return std::min(1.0, 2.0 * boost::math::cdf(law, std::min(one_way, other_way)));
}

double mean_of(std::span<const double> values) {
    if (values.empty()) return 0.0;
    return std::accumulate(values.begin(), values.end(), 0.0) / static_cast<double>(values.size());
}

double standard_deviation_of(std::span<const double> values) {
    if (values.size() < 2) return 0.0;
    const double mean = mean_of(values);
    double sum = 0.0;
    for (const double value : values) sum += (value - mean) * (value - mean);
    return std::sqrt(sum / static_cast<double>(values.size() - 1));
}

std::optional<MeanDifference> welch_t(std::span<const double> first, std::span<const double> second) {
    if (first.size() < 2 || second.size() < 2) return std::nullopt;
    const double n = static_cast<double>(first.size()), m = static_cast<double>(second.size());
    const double a = std::pow(standard_deviation_of(first), 2) / n;
    const double b = std::pow(standard_deviation_of(second), 2) / m;
    if (!(a + b > 0.0)) return std::nullopt;
    const double degrees = (a + b) * (a + b) / (a * a / (n - 1.0) + b * b / (m - 1.0));
    return difference_of(mean_of(first) - mean_of(second), std::sqrt(a + b), degrees);
}

std::optional<MeanDifference> paired_t(std::span<const double> first, std::span<const double> second) {
    if (first.size() != second.size() || first.size() < 2) return std::nullopt;
    std::vector<double> differences;
    for (std::size_t i = 0; i < first.size(); ++i) differences.push_back(first[i] - second[i]);
    const double n = static_cast<double>(differences.size());
    const double error = standard_deviation_of(differences) / std::sqrt(n);
    if (!(error > 0.0)) return std::nullopt;
    return difference_of(mean_of(differences), error, n - 1.0);
}

}  // namespace tattletone::logbook
