#include "scenes/detection_theory.h"
#include "support/names.h"

#include <cmath>

namespace tattletone::scenes {

namespace {

/// P(X > x) for X = |z + sqrt(snr)|² with z complex normal of unit power: Marcum's Q of order one, summed as
/// Poisson(snr) over the tails of gamma distributions of order j + 1.
double tail(double x, double snr) {
    double weight = std::exp(-snr), gamma_term = std::exp(-x), gamma_tail = gamma_term, sum = 0.0;
    for (int j = 0; j < 2000; ++j) {
        sum += weight * gamma_tail;
        if (j > snr && weight < 1e-14) break;
        weight *= snr / (j + 1);
        gamma_term *= x / (j + 1);
        gamma_tail += gamma_term;
    }
    return sum;
}

}  // namespace

double periodogram_detection(double carrier_to_density_db_hz, double seconds, double sample_rate_hz,
                             double false_alarm_rate) {
    const double bins = 0.5 * sample_rate_hz * seconds;
    const double threshold = std::log(bins / -std::log1p(-false_alarm_rate));
    const double snr = std::pow(10.0, 0.1 * carrier_to_density_db_hz) * seconds;
    return snr > 200.0 ? 1.0 : tail(threshold, snr);
}

}  // namespace tattletone::scenes
