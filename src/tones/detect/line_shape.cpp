#include "tones/detect/line_shape.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "tones/detect/sweep_fit.h"

namespace tattletone::tones {
namespace {

// Noise powers of one bin: what of a line's power its parts do not bring together (the mean of
// their squares scatters by five or six), and what a sweep must hold more than its pieces.
constexpr double least_lost = 16.0, least_gained = 9.0;
// Of the power that is there; and a sweep of less shows as a steady line whose phase bends.
constexpr double least_swept = 0.65, least_sweep_bins = 1.5;

}  // namespace

double low_signal_growth(const SteadyLine& line) {
    return 1.0 + 2.0 / std::max(line.signal_to_noise, 1.0);
}

double unsteadiness(const std::vector<std::complex<double>>& parts, const PresentFit& present, double part_noise) {
    const double count = static_cast<double>(parts.size());
    const auto begin = static_cast<std::size_t>(std::ceil(present.begin * count));
    const auto end = static_cast<std::size_t>(std::floor(present.end * count));
    if (end < begin + 3) return 0.0;
    double mean = 0.0, squares = 0.0;
    for (std::size_t m = begin; m < end; ++m) {
        mean += std::abs(parts[m]);
        squares += std::norm(parts[m]);
    }
    const double kept = static_cast<double>(end - begin);
    mean /= kept;
    if (mean * mean < 6.0 * part_noise) return 0.0;
    const double variance = squares / kept - mean * mean - 0.5 * part_noise;
    return std::sqrt(std::max(variance, 0.0)) / mean;
}

void set_path(SteadyLine& line, double bin_sd, double noise, const std::vector<std::complex<double>>& parts,
              double seconds) {
    const double part_noise = noise * static_cast<double>(parts.size());
    line.hz_sd = bin_sd / seconds * low_signal_growth(line);
    line.start_hz = line.end_hz = line.hz;
    const SweepFit sweep = fit_slow_sweep(parts, noise);
    line.drift_hz = sweep.drift_bins / seconds;
    line.drift_hz_sd = sweep.drift_sd / seconds;
    const bool drifts = std::abs(line.drift_hz) > 3.0 * line.drift_hz_sd;
    if (drifts) {
        line.start_hz = line.hz - 0.5 * line.drift_hz;
        line.end_hz = line.hz + 0.5 * line.drift_hz;
    }
    std::size_t told = 0;
    double chi_square = 0.0, previous = 0.0;
    for (std::size_t m = 0; m < parts.size(); ++m) {
        const double power = std::norm(parts[m]);
        if (power < 6.0 * part_noise) continue;
        const double at = (static_cast<double>(m) + 0.5) / static_cast<double>(parts.size()) - 0.5;
        double phase = std::arg(parts[m] * std::conj(sweep.half_amplitude)) -
                       std::numbers::pi * sweep.drift_bins * (at * at - 1.0 / 12.0);
        phase += 2.0 * std::numbers::pi * std::round((previous - phase) / (2.0 * std::numbers::pi));
        previous = phase;
        chi_square += 2.0 * power / part_noise * phase * phase;
        ++told;
    }
    if (told < 3 * parts.size() / 4) return;
    const double freedom = static_cast<double>(told) - 3.0;
    const double excess = chi_square / freedom;
    // Well above what noise makes of it by chance: the line's own phase wanders.
    if (excess > 1.0 + 3.0 * std::sqrt(2.0 / freedom)) {
        line.hz_sd *= std::sqrt(excess);
        line.drift_hz_sd *= std::sqrt(excess);
    }
}

std::optional<SteadyLine> swept_line(const std::vector<std::complex<double>>& parts, const LineFit& fit, double noise,
                                     double pieces, double seconds) {
    double apart = 0.0;
    for (const auto& part : parts) apart += std::norm(part) / static_cast<double>(parts.size());
    const double there = apart - static_cast<double>(parts.size()) * noise;
    if (there - std::norm(fit.half_amplitude) < least_lost * noise) return std::nullopt;
    const SweepFit sweep = fit_any_sweep(parts, noise);
    const double middle = fit.bin + sweep.bin_offset;
    const double power = std::norm(sweep.half_amplitude);
    if (power < pieces + least_gained * noise) return std::nullopt;
    // What begins or ends is met in part by a sweep, too.
    if (power < least_swept * there || std::abs(sweep.drift_bins) < least_sweep_bins) return std::nullopt;
    SteadyLine line;
    line.hz = middle / seconds;
    line.drift_hz = sweep.drift_bins / seconds;
    line.drift_hz_sd = sweep.drift_sd / seconds;
    line.start_hz = line.hz - 0.5 * line.drift_hz;
    line.end_hz = line.hz + 0.5 * line.drift_hz;
    line.signal_to_noise = power / noise;
    line.mean_square = 2.0 * power;
    // The bound of a steady line, which a drift leaves as it is at the middle.
    line.hz_sd = std::sqrt(1.5 / line.signal_to_noise) / std::numbers::pi / seconds * low_signal_growth(line);
    for (std::size_t m = 0; m + 1 < parts.size(); m += 2) {
        const double two = std::norm(parts[m]) + std::norm(parts[m + 1]);
        line.part_mean_square.push_back(std::max(two - 2.0 * static_cast<double>(parts.size()) * noise, 0.0));
    }
    return line;
}

}  // namespace tattletone::tones
