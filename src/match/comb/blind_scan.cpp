#include "match/comb/blind_scan.h"

#include <algorithm>
#include <cmath>
#include <cstdint>

namespace tattletone::match {
namespace {

// Up to this order and this frequency: the time that it takes goes with the square of either.
constexpr int most_scanned = 32;
constexpr double highest_line_hz = 12000.0;
// Many faint lines, and some stronger ones.
constexpr std::size_t columns[] = {2, 5};
// A gain is held in 16 bits as (gain + bias) * scale: of so many orders the sum fits.
constexpr float bias = 6.0f, scale = 64.0f, most_gain = 9.0f;
static_assert(most_scanned * (bias + most_gain) * scale < 65536.0f);
constexpr int least_value = static_cast<int>(8.0f * scale);
constexpr std::size_t most_places = 40;
constexpr double least_spacing_steps = 24.0;

std::uint32_t packed(float gain) {
    return static_cast<std::uint32_t>((std::clamp(gain, -bias, most_gain) + bias) * scale + 0.5f);
}

class BlindScan {
  public:
    explicit BlindScan(const CombScore& score) : step_hz_(score.step_hz()) {
        const auto codes = score.codes();
        const double highest_hz = std::min(score.high_hz(), highest_line_hz);
        highest_ = highest_hz / step_hz_;
        gains_.assign(static_cast<std::size_t>(highest_) + 1, packed(0.0f) << 16 | packed(0.0f));
        for (std::size_t band = 0; band < CombScore::bands; ++band) {
            const auto from = static_cast<std::size_t>(std::lround(score.edge_hz(band) / step_hz_));
            const auto to =
                std::min(static_cast<std::size_t>(std::lround(score.edge_hz(band + 1) / step_hz_)), gains_.size());
            if (to <= from) continue;
            edges_.push_back(static_cast<double>(to) - 0.5);
            std::uint32_t by_code[tones::FineSpectrum::codes];
            for (int code = 0; code < tones::FineSpectrum::codes; ++code)
                by_code[code] =
                    packed(score.gain(band, code, columns[0])) << 16 | packed(score.gain(band, code, columns[1]));
            for (std::size_t i = from; i < to; ++i) gains_[i] = by_code[codes[i]];
        }
    }

    std::vector<BlindPlace> between(double low_hz, double high_hz) const {
        std::vector<BlindPlace> places;
        int before = 0, last = 0;
        double last_steps = 0.0;
        const double to = high_hz / step_hz_;
        for (double steps = std::max(low_hz / step_hz_, least_spacing_steps); steps < to;) {
            const int value = value_at(steps);
            if (last >= least_value && last >= before && last > value)
                places.push_back({last_steps * step_hz_, static_cast<double>(static_cast<float>(last) / scale),
                                  3.0 / highest_step(last_steps)});
            before = last;
            last = value;
            last_steps = steps;
            steps += steps * 2.0 / highest_step(steps);
        }
        const auto kept = std::min(most_places, places.size());
        std::partial_sort(places.begin(), places.begin() + static_cast<std::ptrdiff_t>(kept), places.end(),
                          [](const BlindPlace& a, const BlindPlace& b) { return a.value > b.value; });
        places.resize(kept);
        return places;
    }

  private:
    double highest_step(double steps) const { return std::min(highest_, most_scanned * steps); }

    /// The best run of neighbouring bands, in either column.
    int value_at(double steps) const {
        const double per_step = 1.0 / steps;
        const int all = std::min(most_scanned, static_cast<int>(highest_ * per_step));
        const std::uint32_t none = packed(0.0f);
        int running[2] = {0, 0}, best = 0, n = 1;
        double at = steps + 0.5;
        for (const double edge : edges_) {
            const int last = std::min(all, static_cast<int>(edge * per_step));
            if (last < n) continue;
            const auto count = static_cast<std::uint32_t>(last - n + 1);
            std::uint32_t low = 0, high = 0;
            for (; n <= last; ++n, at += steps) {
                const std::uint32_t gains = gains_[static_cast<std::size_t>(at)];
                low += gains & 0xffffu;
                high += gains >> 16;
            }
            running[0] = std::max(running[0], 0) + static_cast<int>(low) - static_cast<int>(count * none);
            running[1] = std::max(running[1], 0) + static_cast<int>(high) - static_cast<int>(count * none);
            best = std::max({best, running[0], running[1]});
            if (n > all) break;
        }
        return best;
    }

    double step_hz_ = 0.0, highest_ = 0.0;
    std::vector<std::uint32_t> gains_;
    std::vector<double> edges_;  ///< in steps
};

}  // namespace

std::vector<BlindPlace> blind_scan(const CombScore& score, double low_hz, double high_hz) {
    if (!score.can_tell()) return {};
    return BlindScan(score).between(low_hz, high_hz);
}

}  // namespace tattletone::match
