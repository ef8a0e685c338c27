#include "match/comb/spread_score.h"

#include <algorithm>
#include <cmath>

#include "tones/detect/fine_spectrum.h"

namespace tattletone::match {
namespace {

constexpr int bins_of[SpreadScore::widths] = {3, 5, 9, 17, 33, 65};
// Share of multiples that are there, and a line's whole power over the noise of a bin.
struct SpreadColumn {
    double share, snr;
};
constexpr SpreadColumn spread_values[CombScore::columns] = {{0.95, 3.0}, {0.95, 6.0}, {0.95, 12.0}, {0.95, 25.0},
                                                            {0.4, 6.0},  {0.4, 12.0}, {0.4, 25.0},  {0.4, 60.0}};
// What one bin counts at most, and the log of what one line may multiply by.
constexpr double most_power = 30.0, most_log_gain = 4.0;
constexpr double most_masked_share = 0.25;
// Sums are told from 4 deviations under the mean of noise in eighths of one.
constexpr double lowest_deviations = -4.0, levels_a_deviation = 8.0;

double deviations(double sum, double bins) {
    return (sum - bins) / std::sqrt(bins);
}

}  // namespace

SpreadScore::SpreadScore(const CombScore& steady) : steady_(steady), bin_hz_(2.0 * steady.step_hz()) {
    const auto codes = steady.codes();
    power_before_.push_back(0.0f);
    masked_before_.push_back(0);
    double sum = 0.0;
    for (std::size_t i = 0; i < codes.size(); i += 2) {
        sum += codes[i] == 0 ? 0.0 : std::min(tones::FineSpectrum::power_of(codes[i]), most_power);
        power_before_.push_back(static_cast<float>(sum));
        masked_before_.push_back(masked_before_.back() + (codes[i] == 0));
    }
    if (steady.can_tell()) set_tables();
}

void SpreadScore::set_tables() {
    table_.assign(static_cast<std::size_t>(CombScore::bands * widths * levels), {});
    for (std::size_t band = 0; band < CombScore::bands; ++band)
        for (std::size_t width = 0; width < widths; ++width) {
            const double bins = bins_of[width];
            auto* const rows = &table_[(band * widths + width) * levels];
            for (std::size_t level = 0; level < levels; ++level) {
                const double sum = bins + std::sqrt(bins) * (lowest_deviations +
                                                             (static_cast<double>(level) + 0.5) / levels_a_deviation);
                for (std::size_t c = 0; c < CombScore::columns; ++c) {
                    const double a = spread_values[c].snr / bins;
                    const double gain = std::min(sum * a / (1.0 + a) - bins * std::log1p(a), most_log_gain);
                    rows[level][c] = static_cast<float>(
                        std::log(1.0 - spread_values[c].share + spread_values[c].share * std::exp(gain)));
                }
            }
            // As the band is: what lifts any window lifts none.
            std::array<double, levels> windows{};
            double mean[CombScore::columns] = {}, count = 0.0;
            const double low_hz = steady_.edge_hz(band), high_hz = steady_.edge_hz(band + 1);
            for (double hz = low_hz + 0.5 * bins * bin_hz_; hz < high_hz; hz += bins * bin_hz_) {
                const double sum = sum_at(hz, width);
                if (sum < 0.0) continue;
                windows[static_cast<std::size_t>(&row(band, width, sum) - rows)] += 1.0;
                count += 1.0;
            }
            for (std::size_t level = 0; level < levels; ++level)
                for (std::size_t c = 0; c < CombScore::columns; ++c)
                    mean[c] += windows[level] * std::exp(static_cast<double>(rows[level][c]));
            if (count < 1.0) continue;
            for (std::size_t level = 0; level < levels; ++level)
                for (std::size_t c = 0; c < CombScore::columns; ++c)
                    rows[level][c] -= static_cast<float>(std::max(0.0, std::log(mean[c] / count)));
        }
}

double SpreadScore::sum_at(double hz, std::size_t width) const {
    const auto middle = static_cast<std::ptrdiff_t>(std::lround(hz / bin_hz_));
    const std::ptrdiff_t half = bins_of[width] / 2;
    if (middle < half || middle + half + 1 >= static_cast<std::ptrdiff_t>(power_before_.size())) return -1.0;
    const auto from = static_cast<std::size_t>(middle - half), to = static_cast<std::size_t>(middle + half + 1);
    const double bins = bins_of[width], masked = masked_before_[to] - masked_before_[from];
    if (masked > most_masked_share * bins) return -1.0;
    return static_cast<double>(power_before_[to] - power_before_[from]) * bins / (bins - masked);
}

std::size_t SpreadScore::width_of(double spread_hz) const {
    const double needed = spread_hz / bin_hz_ + 2.0;
    return static_cast<std::size_t>(
        std::find_if(std::begin(bins_of), std::end(bins_of), [&](int bins) { return bins >= needed; }) -
        std::begin(bins_of));
}

const std::array<float, CombScore::columns>& SpreadScore::row(std::size_t band, std::size_t width, double sum) const {
    const double at = (deviations(sum, bins_of[width]) - lowest_deviations) * levels_a_deviation;
    const auto level = static_cast<std::size_t>(std::clamp(at, 0.0, static_cast<double>(levels - 1)));
    return table_[(band * widths + width) * levels + level];
}

void SpreadScore::sum(double fundamental_hz, const Orders& orders, double spread, CombScore::Sums& sums) const {
    for (auto& band : sums) band.fill(0.0f);
    std::size_t band = 0;
    for (int n = orders.first; n <= orders.last; n += orders.step) {
        const double hz = n * fundamental_hz;
        if (hz >= steady_.high_hz()) break;
        while (hz >= steady_.edge_hz(band + 1)) ++band;
        const std::size_t width = width_of(hz * spread);
        if (width == widths) break;
        const double total = sum_at(hz, width);
        if (total < 0.0 || hz < steady_.low_hz()) continue;
        const auto& at = row(band, width, total);
        for (std::size_t c = 0; c < CombScore::columns; ++c) sums[band][c] += at[c];
    }
}

double SpreadScore::quick_log_ratio(double fundamental_hz, const Orders& orders, double spread) const {
    CombScore::Sums sums;
    sum(fundamental_hz, orders, spread, sums);
    return steady_.best_of(sums);
}

double SpreadScore::log_ratio(double fundamental_hz, const Orders& orders, double spread) const {
    CombScore::Sums sums;
    sum(fundamental_hz, orders, spread, sums);
    return steady_.mean_of(sums);
}

std::vector<CombScore::Line> SpreadScore::lines(double fundamental_hz, const Orders& orders, double spread) const {
    CombScore::Sums sums;
    sum(fundamental_hz, orders, spread, sums);
    const CombScore::Run run = CombScore::likeliest(sums);
    std::vector<CombScore::Line> lines;
    for (int n = orders.first; n <= orders.last; n += orders.step) {
        const double hz = n * fundamental_hz;
        if (hz >= steady_.edge_hz(run.last + 1)) break;
        const std::size_t width = width_of(hz * spread);
        if (width == widths) break;
        const double total = sum_at(hz, width);
        if (hz < steady_.edge_hz(run.first) || total < 0.0) continue;
        std::size_t band = run.first;
        while (hz >= steady_.edge_hz(band + 1)) ++band;
        lines.push_back(
            {n, hz, 1.0 + total - bins_of[width], static_cast<double>(row(band, width, total)[run.column])});
    }
    return lines;
}

}  // namespace tattletone::match
