#include "tones/detect/sweep_fit.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

namespace tattletone::tones {
namespace {

using std::numbers::pi;

constexpr double drift_step = 0.5, offset_step = 0.25;

std::complex<double> amplitude(std::span<const std::complex<double>> parts, double offset, double drift) {
    std::complex<double> sum{};
    const double count = static_cast<double>(parts.size());
    for (std::size_t m = 0; m < parts.size(); ++m) {
        const double t = (static_cast<double>(m) + 0.5) / count - 0.5;
        sum += parts[m] * std::polar(1.0, -2.0 * pi * (offset * t + 0.5 * drift * (t * t - 1.0 / 12.0)));
    }
    return sum / count;
}

double power(std::span<const std::complex<double>> parts, double offset, double drift) {
    return std::norm(amplitude(parts, offset, drift));
}

double summit(double below, double here, double above) {
    const double bend = 2.0 * here - below - above;
    return bend > 0.0 ? std::clamp(0.5 * (above - below) / bend, -0.5, 0.5) : 0.0;
}

SweepFit described(std::span<const std::complex<double>> parts, double offset, double drift, double noise) {
    SweepFit fit{offset, drift, 0.0, amplitude(parts, offset, drift)};
    const double signal_to_noise = std::norm(fit.half_amplitude) / noise;
    if (signal_to_noise > 0.0) fit.drift_sd = std::sqrt(90.0 / signal_to_noise) / pi;
    return fit;
}

}  // namespace

SweepFit fit_slow_sweep(std::span<const std::complex<double>> parts, double noise) {
    // Uphill from a steady line, then between the steps.
    double drift = 0.0, here = power(parts, 0.0, 0.0);
    for (double step = drift_step; step > 1e-3; step *= 0.5)
        for (const double sign : {-1.0, 1.0})
            while (std::abs(drift) < widest_sweep_bins) {
                const double there = power(parts, 0.0, drift + sign * step);
                if (there <= here) break;
                drift += sign * step, here = there;
            }
    return described(parts, 0.0, drift, noise);
}

SweepFit fit_any_sweep(std::span<const std::complex<double>> parts, double noise) {
    const double count = static_cast<double>(parts.size()), farthest = 0.25 * widest_sweep_bins;
    const auto offsets = static_cast<std::size_t>(std::lround(2.0 * farthest / offset_step)) + 1;
    std::vector<std::complex<double>> turns(offsets * parts.size()), swept(parts.size());
    for (std::size_t o = 0; o < offsets; ++o)
        for (std::size_t m = 0; m < parts.size(); ++m) {
            const double t = (static_cast<double>(m) + 0.5) / count - 0.5;
            const double offset = offset_step * static_cast<double>(o) - farthest;
            turns[o * parts.size() + m] = std::polar(1.0, -2.0 * pi * offset * t);
        }
    double best = -1.0, best_offset = 0.0, best_drift = 0.0;
    for (double drift = -widest_sweep_bins; drift <= widest_sweep_bins; drift += drift_step) {
        for (std::size_t m = 0; m < parts.size(); ++m) {
            const double t = (static_cast<double>(m) + 0.5) / count - 0.5;
            swept[m] = parts[m] * std::polar(1.0, -pi * drift * t * t);
        }
        for (std::size_t o = 0; o < offsets; ++o) {
            double re = 0.0, im = 0.0;
            for (std::size_t m = 0; m < parts.size(); ++m) {
                const std::complex<double> a = swept[m], b = turns[o * parts.size() + m];
                re += a.real() * b.real() - a.imag() * b.imag();
                im += a.real() * b.imag() + a.imag() * b.real();
            }
            const double here = re * re + im * im;
            if (here > best)
                best = here, best_offset = offset_step * static_cast<double>(o) - farthest, best_drift = drift;
        }
    }
    for (int round = 0; round < 3; ++round) {
        const double o = offset_step * std::pow(0.5, round), d = drift_step * std::pow(0.5, round);
        double here = power(parts, best_offset, best_drift);
        best_offset +=
            o * summit(power(parts, best_offset - o, best_drift), here, power(parts, best_offset + o, best_drift));
        here = power(parts, best_offset, best_drift);
        best_drift +=
            d * summit(power(parts, best_offset, best_drift - d), here, power(parts, best_offset, best_drift + d));
    }
    return described(parts, best_offset, best_drift, noise);
}

}  // namespace tattletone::tones
