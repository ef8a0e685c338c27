#include "window/drawing/frequency_axis.h"

#include <algorithm>
#include <cmath>

#include "base/text/number.h"

namespace tattletone::window {
namespace {

constexpr double narrowest_hz = 0.2, narrowest_share = 1e-6;
constexpr double far_left = -1e3;

double narrowest(double hz) {
    return std::max(narrowest_hz, narrowest_share * hz);
}

FrequencyAxis within(FrequencyAxis axis, const AxisLimits& limits) {
    axis.low_hz = std::clamp(axis.low_hz, limits.low_hz, limits.high_hz);
    axis.high_hz = std::clamp(axis.high_hz, limits.low_hz, limits.high_hz);
    const double least = narrowest(axis.high_hz);
    if (axis.high_hz - axis.low_hz < least) {
        const double middle =
            std::clamp(0.5 * (axis.low_hz + axis.high_hz), limits.low_hz + 0.5 * least, limits.high_hz - 0.5 * least);
        axis.low_hz = middle - 0.5 * least;
        axis.high_hz = middle + 0.5 * least;
    }
    return axis;
}

std::string label_for(double hz, double step) {
    const bool kilo = hz >= 1000.0;
    const double unit = kilo ? 1000.0 : 1.0;
    const int decimals = std::clamp(static_cast<int>(std::ceil(-std::log10(step / unit) - 1e-9)), 0, 6);
    return base::fixed(hz / unit, decimals) + (kilo ? " kHz" : " Hz");
}

double round_step(double least) {
    const double decade = std::pow(10.0, std::floor(std::log10(least)));
    for (const double factor : {1.0, 2.0, 5.0, 10.0})
        if (factor * decade >= least * (1.0 - 1e-9)) return factor * decade;
    return 10.0 * decade;
}

std::vector<Tick> even_ticks(const FrequencyAxis& axis, double label_share) {
    std::vector<Tick> all;
    const double step = round_step((axis.high_hz - axis.low_hz) * label_share);
    const double small = step / 5.0;
    const auto first = static_cast<long long>(std::ceil(axis.low_hz / small - 1e-9));
    for (long long n = first; static_cast<double>(n) * small <= axis.high_hz * (1.0 + 1e-12); ++n) {
        const double hz = static_cast<double>(n) * small;
        all.push_back({hz, n % 5 == 0 ? label_for(hz, step) : ""});
    }
    return all;
}

}  // namespace

double FrequencyAxis::share(double at) const {
    if (!logarithmic) return (at - low_hz) / (high_hz - low_hz);
    if (at <= 0.0) return far_left;
    return std::log(at / low_hz) / std::log(high_hz / low_hz);
}

double FrequencyAxis::hz(double at) const {
    if (!logarithmic) return low_hz + at * (high_hz - low_hz);
    return low_hz * std::pow(high_hz / low_hz, at);
}

FrequencyAxis zoomed(const FrequencyAxis& axis, double share, double factor, const AxisLimits& limits) {
    const double anchor = axis.hz(share);
    const double least = narrowest(anchor);
    if (factor > 1.0 && axis.high_hz - axis.low_hz <= least * 1.000001) return axis;
    FrequencyAxis result = axis;
    result.low_hz = axis.hz(share - share / factor);
    result.high_hz = axis.hz(share + (1.0 - share) / factor);
    return within(result, limits);
}

FrequencyAxis panned(const FrequencyAxis& axis, double share_moved, const AxisLimits& limits) {
    // As far as the limits let it, and no farther: the width stays.
    const double room_left = axis.share(limits.low_hz), room_right = axis.share(limits.high_hz) - 1.0;
    const double move = std::clamp(share_moved, std::min(0.0, room_left), std::max(0.0, room_right));
    FrequencyAxis result = axis;
    result.low_hz = axis.hz(move);
    result.high_hz = axis.hz(1.0 + move);
    return within(result, limits);
}

FrequencyAxis whole(const AxisLimits& limits, bool logarithmic) {
    return {limits.low_hz, limits.high_hz, logarithmic};
}

FrequencyAxis around(const FrequencyAxis& axis, double hz, double span_hz, const AxisLimits& limits) {
    FrequencyAxis result = axis;
    result.low_hz = hz - 0.5 * span_hz;
    result.high_hz = hz + 0.5 * span_hz;
    return within(result, limits);
}

FrequencyAxis with_division(const FrequencyAxis& axis, bool logarithmic) {
    FrequencyAxis result = axis;
    result.logarithmic = logarithmic;
    return result;
}

std::vector<Tick> ticks(const FrequencyAxis& axis, double label_share) {
    if (!axis.logarithmic || axis.high_hz < 2.5 * axis.low_hz) return even_ticks(axis, label_share);
    std::vector<Tick> all;
    double last_labelled = -1.0;
    const double first_decade = std::pow(10.0, std::floor(std::log10(axis.low_hz)));
    for (double decade = first_decade; decade <= axis.high_hz; decade *= 10.0) {
        for (int digit = 1; digit <= 9; ++digit) {
            const double hz = digit * decade;
            if (hz < axis.low_hz * 0.999999 || hz > axis.high_hz * 1.000001) continue;
            const bool round = digit == 1 || digit == 2 || digit == 5;
            const double at = axis.share(hz);
            const bool labelled = round && (last_labelled < 0.0 || at - last_labelled >= label_share);
            if (labelled) last_labelled = at;
            all.push_back({hz, labelled ? label_for(hz, decade) : ""});
        }
    }
    return all;
}

}  // namespace tattletone::window
