#include "spectrum/window.h"

#include <array>
#include <cmath>
#include <complex>
#include <numbers>

namespace tattletone::spectrum {
namespace {

constexpr std::array rectangular{1.0};
constexpr std::array hann{0.5, 0.5};
constexpr std::array hamming{0.54, 0.46};
constexpr std::array blackman{0.42, 0.5, 0.08};
constexpr std::array blackman_harris{0.35875, 0.48829, 0.14128, 0.01168};
constexpr std::array nuttall{0.3635819, 0.4891775, 0.1365995, 0.0106411};

double sinc(double x) {
    const double angle = std::numbers::pi * x;
    return std::abs(angle) < 1e-9 ? 1.0 : std::sin(angle) / angle;
}

double value(const CosineWindow& window, double t) {
    double sum = 0.0;
    for (std::size_t m = 0; m < window.coefficients.size(); ++m) {
        const double term = window.coefficients[m] * std::cos(2.0 * std::numbers::pi * static_cast<double>(m) * t);
        sum += m % 2 == 0 ? term : -term;
    }
    return sum;
}

}  // namespace

const CosineWindow rectangular_window{"rectangular", rectangular};
const CosineWindow hann_window{"Hann", hann};
const CosineWindow hamming_window{"Hamming", hamming};
const CosineWindow blackman_window{"Blackman", blackman};
const CosineWindow blackman_harris_window{"Blackman-Harris 4-term", blackman_harris};
const CosineWindow nuttall_least_side_lobe_window{"Nuttall least side lobe", nuttall};

std::vector<float> sample(const CosineWindow& window, std::size_t size) {
    std::vector<float> values(size);
    // cos(m x) from cos x by Chebyshev's recurrence, cos x by turning a unit vector, set right every so
    // often: far quicker than a cosine a value, and exact to 1e-13.
    const double step = 2.0 * std::numbers::pi / static_cast<double>(size);
    const std::complex<double> turn = std::polar(1.0, step);
    std::complex<double> unit;
    for (std::size_t n = 0; n < size; ++n) {
        unit = n % 512 == 0 ? std::polar(1.0, step * static_cast<double>(n)) : unit * turn;
        const double cosine = unit.real();
        double before = 1.0, here = cosine, sum = window.coefficients[0];
        for (std::size_t m = 1; m < window.coefficients.size(); ++m) {
            sum += m % 2 == 0 ? window.coefficients[m] * here : -window.coefficients[m] * here;
            const double next = 2.0 * cosine * here - before;
            before = here;
            here = next;
        }
        values[n] = static_cast<float>(sum);
    }
    return values;
}

double noise_bandwidth_bins(const CosineWindow& window) {
    double squares = 0.0;
    for (std::size_t m = 1; m < window.coefficients.size(); ++m)
        squares += 0.5 * window.coefficients[m] * window.coefficients[m];
    const double mean = window.coefficients[0];
    return (mean * mean + squares) / (mean * mean);
}

double response(const CosineWindow& window, double bins) {
    double sum = window.coefficients[0] * sinc(bins);
    for (std::size_t m = 1; m < window.coefficients.size(); ++m) {
        const double shift = static_cast<double>(m);
        sum += 0.5 * window.coefficients[m] * (sinc(bins - shift) + sinc(bins + shift));
    }
    return sum / window.coefficients[0];
}

double scalloping_loss_db(const CosineWindow& window) {
    return -20.0 * std::log10(response(window, 0.5));
}

double overlap_correlation(const CosineWindow& window, double share) {
    constexpr int steps = 20000;
    double shifted = 0.0, own = 0.0;
    for (int i = 0; i < steps; ++i) {
        const double t = (i + 0.5) / steps;
        const double here = value(window, t);
        own += here * here;
        if (t + 1.0 - share < 1.0) shifted += here * value(window, t + 1.0 - share);
    }
    return shifted / own;
}

}  // namespace tattletone::spectrum
