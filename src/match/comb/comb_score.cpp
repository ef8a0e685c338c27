#include "match/comb/comb_score.h"

#include <algorithm>
#include <cmath>

#include "base/wide_loops.h"

namespace tattletone::match {
namespace {

// Half octaves where most of boards' lines are.
constexpr double edges_hz[CombScore::bands + 1] = {0.0,    350.0,  700.0,  1000.0, 1400.0,  2000.0,
                                                   2800.0, 4000.0, 5600.0, 8000.0, 11300.0, 1e9};
// What lines there are: the share of multiples that are there, and their mean power over the noise's in a bin.
struct Column {
    double share, snr;
};
constexpr Column column_values[CombScore::columns] = {{0.95, 0.25}, {0.95, 0.6}, {0.95, 1.4}, {0.95, 3.0},
                                                      {0.4, 1.4},   {0.4, 4.0},  {0.4, 10.0}, {0.4, 25.0}};
// Strays: a share of the steps holds more than noise, 1/(1 + P)² of it; at least this.
constexpr double least_strays = 1e-3;
constexpr int stray_code = 85;  // power 7

double stray_density(double power) {
    return 1.0 / ((1.0 + power) * (1.0 + power));
}

}  // namespace

CombScore::CombScore(const tones::Tones& found, const std::vector<MaskedHz>& masked)
    : CombScore(found.fine ? *found.fine : tones::FineSpectrum{}, found.usable, masked) {
    if (!can_tell()) return;
    for (const auto& fine : found.fine->later) {
        CombScore score(*fine, found.usable, masked);
        if (score.can_tell()) later_.push_back(std::move(score));
    }
}

CombScore::CombScore(const tones::FineSpectrum& fine, const tones::Band& usable, const std::vector<MaskedHz>& masked) {
    if (fine.code.empty()) return;
    step_hz_ = fine.step_hz;
    seconds_ = 0.5 / fine.step_hz;
    code_ = fine.code;
    const auto step_of = [&](double hz) {
        return static_cast<std::size_t>(std::clamp(std::ceil(hz / step_hz_), 0.0, static_cast<double>(code_.size())));
    };
    for (const MaskedHz& gap : masked) {
        const std::size_t from = step_of(gap.low_hz), to = step_of(gap.high_hz);
        for (std::size_t i = from; i < to; ++i) code_[i] = 0;
    }
    first_step_ = step_of(usable.low_hz);
    last_step_ = std::min(step_of(usable.high_hz), code_.size());
    for (std::size_t i = 0; i < first_step_; ++i) code_[i] = 0;
    for (int band = 0; band <= bands; ++band)
        edge_step_[static_cast<std::size_t>(band)] =
            std::clamp(step_of(edges_hz[band]), first_step_, std::max(first_step_, last_step_));
    if (!can_tell()) return;
    count();
    set_tables();
}

void CombScore::count() {
    for (std::size_t band = 0; band < bands; ++band) {
        for (std::size_t i = edge_step_[band]; i < edge_step_[band + 1]; ++i) ++counts_[band][code_[i]];
        counts_[band][0] = 0;
        used_bands_ += edge_step_[band + 1] > edge_step_[band];
    }
    log_parts_ = std::log(0.5 * used_bands_ * (used_bands_ + 1) * columns);
}

void CombScore::set_tables() {
    constexpr int codes = tones::FineSpectrum::codes;
    table_.assign(static_cast<std::size_t>(bands * codes), {});
    for (std::size_t band = 0; band < bands; ++band) {
        double all = 0.0, over = 0.0;
        for (int code = 1; code < codes; ++code) {
            const double count = counts_[band][static_cast<std::size_t>(code)];
            all += count;
            if (code >= stray_code) over += count;
        }
        if (all < 1.0) continue;
        const double from = tones::FineSpectrum::power_of(stray_code);
        const double by_noise = all * std::exp(-from);
        const double strays =
            std::clamp((over - by_noise - 2.0 * std::sqrt(by_noise)) / all * (1.0 + from), least_strays, 0.5);
        double mean[columns] = {};
        for (int code = 1; code < codes; ++code) {
            const double power = tones::FineSpectrum::power_of(code);
            const double without = (1.0 - strays) * std::exp(-power) + strays * stray_density(power);
            auto& row = table_[band * codes + static_cast<std::size_t>(code)];
            for (int c = 0; c < columns; ++c) {
                const auto [share, snr] = column_values[c];
                const double with = std::exp(-power / (1.0 + snr)) / (1.0 + snr);
                const double ratio = 1.0 - share + share * with / without;
                row[static_cast<std::size_t>(c)] = static_cast<float>(std::log(ratio));
                mean[c] += ratio * counts_[band][static_cast<std::size_t>(code)] / all;
            }
        }
        // Where the band as it is would by itself make lines likely, all of them count for less.
        for (int code = 1; code < codes; ++code)
            for (int c = 0; c < columns; ++c)
                table_[band * codes + static_cast<std::size_t>(code)][static_cast<std::size_t>(c)] -=
                    static_cast<float>(std::max(0.0, std::log(mean[c])));
    }
}

void CombScore::sum(double fundamental_hz, const Orders& orders, double moved_hz, Sums& sums) const {
    for (auto& band : sums) band.fill(0.0f);
    add_own(fundamental_hz, orders, moved_hz, sums);
    for (const CombScore& segment : later_) segment.add_own(fundamental_hz, orders, moved_hz, sums);
}

TATTLETONE_WIDE_LOOPS
void CombScore::add_own(double fundamental_hz, const Orders& orders, double moved_hz, Sums& sums) const {
    constexpr std::size_t codes = tones::FineSpectrum::codes;
    const double steps = fundamental_hz / step_hz_, moved = moved_hz / step_hz_ + 0.5;
    const auto* const table = table_.data();
    for (std::size_t band = 0; band < bands; ++band) {
        float total[columns] = {};
        const auto low = static_cast<double>(edge_step_[band]), high = static_cast<double>(edge_step_[band + 1]);
        double n = std::max(std::ceil((low - moved) / steps), static_cast<double>(orders.first));
        n = orders.first + orders.step * std::ceil((n - orders.first) / orders.step);
        const double last = std::min((high - moved) / steps, orders.last + 0.5);
        for (; n < last; n += orders.step) {
            const auto at = static_cast<std::size_t>(n * steps + moved);
            const float* const row = table[band * codes + code_[at]].data();
            for (std::size_t c = 0; c < columns; ++c) total[c] += row[c];
        }
        for (std::size_t c = 0; c < columns; ++c) sums[band][c] += total[c];
    }
}

double CombScore::best_of(const Sums& sums) const {
    float running[columns] = {}, best[columns] = {};
    for (const auto& band : sums)
        for (std::size_t c = 0; c < columns; ++c) {
            running[c] = std::max(running[c], 0.0f) + band[c];
            best[c] = std::max(best[c], running[c]);
        }
    return static_cast<double>(*std::max_element(std::begin(best), std::end(best))) - log_parts_;
}

double CombScore::mean_of(const Sums& sums) const {
    double top = -1e300, total = 0.0;
    std::vector<double> all;
    for (std::size_t from = 0; from < bands; ++from) {
        if (edge_step_[from + 1] <= edge_step_[from]) continue;
        double part[columns] = {};
        for (std::size_t to = from; to < bands; ++to) {
            if (edge_step_[to + 1] <= edge_step_[to]) continue;
            for (std::size_t c = 0; c < columns; ++c) {
                part[c] += static_cast<double>(sums[to][c]);
                all.push_back(part[c]);
                top = std::max(top, part[c]);
            }
        }
    }
    for (const double value : all) total += std::exp(value - top);
    return top + std::log(total) - log_parts_;
}

CombScore::Run CombScore::likeliest(const Sums& sums) {
    Run run;
    double top = -1e300;
    for (std::size_t from = 0; from < bands; ++from) {
        double part[columns] = {};
        for (std::size_t to = from; to < bands; ++to)
            for (std::size_t c = 0; c < columns; ++c) {
                part[c] += static_cast<double>(sums[to][c]);
                if (part[c] > top) top = part[c], run = {from, to, c};
            }
    }
    return run;
}

double CombScore::quick_log_ratio(double fundamental_hz, const Orders& orders) const {
    Sums sums;
    sum(fundamental_hz, orders, 0.0, sums);
    return best_of(sums);
}

double CombScore::log_ratio(double fundamental_hz, const Orders& orders, double moved_hz) const {
    Sums sums;
    sum(fundamental_hz, orders, moved_hz, sums);
    return mean_of(sums);
}

CombScore::Line CombScore::line_at(int order, double hz, std::size_t column) const {
    const auto at = static_cast<std::size_t>(hz / step_hz_ + 0.5);
    if (at >= code_.size() || code_[at] == 0) return {order, hz, 0.0, 0.0};
    const auto edge = std::upper_bound(edge_step_.begin() + 1, edge_step_.end() - 1, at);
    const auto band = static_cast<std::size_t>(edge - edge_step_.begin() - 1);
    return {order, hz, tones::FineSpectrum::power_of(code_[at]), static_cast<double>(gain(band, code_[at], column))};
}

std::vector<CombScore::Line> CombScore::lines(double fundamental_hz, const Orders& orders) const {
    Sums sums;
    sum(fundamental_hz, orders, 0.0, sums);
    const auto [first, last, column] = likeliest(sums);
    std::vector<Line> lines;
    for (std::size_t band = first; band <= last; ++band) {
        const auto low = static_cast<double>(edge_step_[band]), high = static_cast<double>(edge_step_[band + 1]);
        const double steps = fundamental_hz / step_hz_;
        for (int n = orders.first; n <= orders.last && n * steps + 0.5 < high; n += orders.step) {
            if (n * steps + 0.5 < low) continue;
            Line line = line_at(n, n * fundamental_hz, column);
            double told = line.power > 0.0 ? 1.0 : 0.0;
            for (const CombScore& segment : later_) {
                const Line more = segment.line_at(n, line.hz, column);
                line.power += more.power;
                line.gain += more.gain;
                told += more.power > 0.0 ? 1.0 : 0.0;
            }
            if (told == 0.0) continue;
            line.power /= told;
            lines.push_back(line);
        }
    }
    return lines;
}

}  // namespace tattletone::match
