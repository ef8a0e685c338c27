#include "board/lines.h"

#include <algorithm>
#include <cmath>

namespace tattletone::board {
namespace {

constexpr int highest_half = 5;
constexpr int most_sideband_carriers = 8, most_sidebands = 2;
constexpr double highest_modulation_hz = 2000.0;
constexpr int most_beats = 4;

struct Span {
    double low = 0.0, nominal = 0.0, high = 0.0;
};

Span span_of(const Rate& rate) {
    return {rate.lowest_hz(), rate.nominal_hz(), rate.highest_hz()};
}

Span combined(const Span& own, double m, const Span& other, double k) {
    const auto least = [](const Span& s, double by) { return by * (by >= 0.0 ? s.low : s.high); };
    const auto most = [](const Span& s, double by) { return by * (by >= 0.0 ? s.high : s.low); };
    const double low = least(own, m) + least(other, k);
    const double high = most(own, m) + most(other, k);
    const double nominal = std::abs(m * own.nominal + k * other.nominal);
    if (low >= 0.0) return {low, nominal, high};
    if (high <= 0.0) return {-high, nominal, -low};
    return {0.0, nominal, std::max(-low, high)};
}

// Where an interval can come to lie: its folded ends, and the turning points (multiples of half the
// sample rate) inside it.
Span folded(const Span& span, double sample_rate_hz) {
    const double half = 0.5 * sample_rate_hz;
    const double a = fold(span.low, sample_rate_hz), b = fold(span.high, sample_rate_hz);
    Span result{std::min(a, b), fold(span.nominal, sample_rate_hz), std::max(a, b)};
    const double first = std::ceil(span.low / half), last = std::floor(span.high / half);
    if (first > last) return result;
    const bool two = last > first;
    const bool even = std::fmod(first, 2.0) == 0.0;
    if (two || even) result.low = 0.0;
    if (two || !even) result.high = half;
    return result;
}

class Collector {
  public:
    Collector(const BoardSheet& sheet, int rate, const LineLimits& limits)
        : sheet_(sheet), rate_(rate), limits_(limits), own_(span_of(sheet.rates[static_cast<std::size_t>(rate)])) {
        high_hz_ = limits.high_hz;
        if (limits.sample_rate_hz > 0.0) high_hz_ = std::min(high_hz_, 0.5 * limits.sample_rate_hz);
    }

    std::vector<Line> collect() {
        harmonics();
        for (int n = 1; n <= highest_half; n += 2)
            add(LineKind::subharmonic, n, -1, 0.5 * n, 0.0, combined(own_, 0.5 * n, {}, 0.0));
        for (int other = 0; other < static_cast<int>(sheet_.rates.size()); ++other)
            if (other != rate_) sidebands(other);
        if (limits_.sample_rate_hz > 0.0) images();
        for (int other = 0; other < static_cast<int>(sheet_.rates.size()); ++other)
            if (other != rate_) beats(other);
        return std::move(lines_);
    }

  private:
    const Rate& rate_at(int index) const { return sheet_.rates[static_cast<std::size_t>(index)]; }

    void add(LineKind kind, int order, int other, double own_multiple, double other_multiple, const Span& span) {
        if (span.high < limits_.low_hz || span.low > high_hz_) return;
        lines_.push_back({rate_, kind, order, other, own_multiple, other_multiple, span.nominal, span.low, span.high});
    }

    void harmonics() {
        for (int n = 1; n <= most_order && n * own_.low <= high_hz_; ++n)
            add(LineKind::harmonic, n, -1, n, 0.0, combined(own_, n, {}, 0.0));
    }

    void sidebands(int other) {
        const Rate& modulation = rate_at(other);
        if (modulation.wanders() || modulation.hz >= highest_modulation_hz) return;
        const Span span = span_of(modulation);
        for (int carrier = 1; carrier <= most_sideband_carriers; ++carrier)
            for (int m = -most_sidebands; m <= most_sidebands; ++m)
                if (m != 0) add(LineKind::sideband, m, other, carrier, m, combined(own_, carrier, span, m));
    }

    void images() {
        const double fs = limits_.sample_rate_hz;
        for (int n = 1; n <= most_order && n * own_.nominal <= 2.0 * fs; ++n)
            if (n * own_.nominal > 0.5 * fs)
                add(LineKind::image, n, -1, n, 0.0, folded(combined(own_, n, {}, 0.0), fs));
    }

    void beats(int other) {
        const Span span = span_of(rate_at(other));
        if (own_.low <= limits_.high_hz || span.low <= limits_.high_hz) return;
        for (int n = 1; n <= most_beats; ++n) add(LineKind::beat, n, other, n, -n, combined(own_, n, span, -n));
    }

    const BoardSheet& sheet_;
    int rate_;
    LineLimits limits_;
    Span own_;
    double high_hz_ = 0.0;
    std::vector<Line> lines_;
};

}  // namespace

std::vector<Line> lines_of(const BoardSheet& sheet, int rate, const LineLimits& limits) {
    return Collector(sheet, rate, limits).collect();
}

double fold(double hz, double sample_rate_hz) {
    if (sample_rate_hz <= 0.0) return hz;
    const double rest = std::fmod(std::abs(hz), sample_rate_hz);
    return std::min(rest, sample_rate_hz - rest);
}

}  // namespace tattletone::board
