#include "tones/judge/critical_band.h"

#include <algorithm>
#include <cmath>

#include "base/decibels.h"

namespace tattletone::tones {
namespace {

constexpr double lowest_criterion_hz = 89.1;
constexpr double highest_criterion_hz = 11200.0;

bool has_criterion(double hz) {
    return hz >= lowest_criterion_hz && hz <= highest_criterion_hz;
}

}  // namespace

double critical_bandwidth_hz(double hz) {
    const double khz = hz / 1000.0;
    return 25.0 + 75.0 * std::pow(1.0 + 1.4 * khz * khz, 0.69);
}

Band critical_band(double hz) {
    const double width = critical_bandwidth_hz(hz);
    if (hz <= 500.0) return {hz - 0.5 * width, hz + 0.5 * width};
    const double low = -0.5 * width + 0.5 * std::sqrt(width * width + 4.0 * hz * hz);
    return {low, low + width};
}

Band lower_neighbour(double hz) {
    double edge = 20.0;
    if (hz > 1600.0)
        edge = 6.8 + 0.806 * hz - 8.20e-6 * hz * hz;
    else if (hz > 171.4)
        edge = -149.5 + 1.001 * hz - 6.90e-5 * hz * hz;
    return {edge, critical_band(hz).low_hz};
}

Band upper_neighbour(double hz) {
    const double edge = hz > 1600.0 ? 3.3 + 1.215 * hz + 2.16e-5 * hz * hz : 149.5 + 1.035 * hz + 7.70e-5 * hz * hz;
    return {critical_band(hz).high_hz, edge};
}

double proximity_hz(double hz) {
    return 21.0 * std::pow(10.0, 1.2 * std::pow(std::abs(std::log10(hz / 212.0)), 1.8));
}

std::optional<double> tone_to_noise_limit_db(double hz) {
    if (!has_criterion(hz)) return std::nullopt;
    return hz >= 1000.0 ? 8.0 : 8.0 + 8.33 * std::log10(1000.0 / hz);
}

std::optional<double> prominence_limit_db(double hz) {
    if (!has_criterion(hz)) return std::nullopt;
    return hz >= 1000.0 ? 9.0 : 9.0 + 10.0 * std::log10(1000.0 / hz);
}

DensityIntegral::DensityIntegral(std::span<const double> per_hz, double bin_hz)
    : sum_(per_hz.size() + 1), bin_hz_(bin_hz) {
    for (std::size_t k = 0; k < per_hz.size(); ++k) sum_[k + 1] = sum_[k] + per_hz[k] * bin_hz;
}

double DensityIntegral::highest_hz() const {
    return (static_cast<double>(sum_.size()) - 1.5) * bin_hz_;
}

double DensityIntegral::power(double low_hz, double high_hz) const {
    if (sum_.size() < 2 || high_hz <= low_hz) return 0.0;
    // Bin k covers (k - 1/2 … k + 1/2) · bin_hz.
    const auto sum_to = [&](double hz) {
        const double at = std::clamp(hz / bin_hz_ + 0.5, 0.0, static_cast<double>(sum_.size() - 1));
        const auto whole = std::min(static_cast<std::size_t>(at), sum_.size() - 2);
        const double part = at - static_cast<double>(whole);
        return sum_[whole] + part * (sum_[whole + 1] - sum_[whole]);
    };
    return sum_to(high_hz) - sum_to(low_hz);
}

double tone_to_noise_db(const DensityIntegral& density, std::span<const LinePower> lines, std::size_t which) {
    const double hz = lines[which].hz;
    const Band band = critical_band(hz);
    const double near = proximity_hz(hz);
    const double high_hz = std::min(band.high_hz, density.highest_hz());
    double tone = 0.0, taken = 0.0, taken_hz = 0.0;
    // `lines` ascend in hz, so segments that overlap are met one after the other.
    double covered_to = std::max(band.low_hz, 0.0);
    const double width = high_hz - covered_to;
    for (std::size_t i = 0; i < lines.size(); ++i) {
        if (i == which || (std::abs(lines[i].hz - hz) < near && lines[i].hz > band.low_hz && lines[i].hz < high_hz))
            tone += lines[i].power;
        const double from = std::max(lines[i].hz - lines[i].half_width_hz, covered_to);
        const double to = std::min(lines[i].hz + lines[i].half_width_hz, high_hz);
        if (to <= from) continue;
        taken += density.power(from, to);
        taken_hz += to - from;
        covered_to = to;
    }
    const double total = density.power(band.low_hz, band.high_hz);
    const double noise_hz = std::max(width - taken_hz, 0.02 * width);
    const double noise = std::max(total - taken, 1e-12 * total) * critical_bandwidth_hz(hz) / noise_hz;
    return base::power_to_db(tone / std::max(noise, 1e-30));
}

double prominence_ratio_db(const DensityIntegral& density, double hz) {
    const Band middle = critical_band(hz), low = lower_neighbour(hz), high = upper_neighbour(hz);
    double below = density.power(low.low_hz, low.high_hz);
    if (hz <= 171.4) below *= 100.0 / std::max(low.high_hz - low.low_hz, 1.0);
    const double there = std::min(high.high_hz, density.highest_hz()) - high.low_hz;
    double above = below;
    if (there > 0.1 * (high.high_hz - high.low_hz))
        above = density.power(high.low_hz, high.high_hz) * (high.high_hz - high.low_hz) / there;
    return base::power_to_db(density.power(middle.low_hz, middle.high_hz) / std::max(0.5 * (below + above), 1e-30));
}

std::optional<bool> is_prominent(double hz, double tone_to_noise, double prominence) {
    const auto noise_limit = tone_to_noise_limit_db(hz);
    const auto band_limit = prominence_limit_db(hz);
    if (!noise_limit || !band_limit) return std::nullopt;
    return tone_to_noise >= *noise_limit || prominence >= *band_limit;
}

}  // namespace tattletone::tones
