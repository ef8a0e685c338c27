#include "scope/trace_rate.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <numeric>

namespace tattletone::scope {
namespace {

constexpr double quantile = 5e-4;
constexpr double fewest_a_period = 4.0, fewest_an_event = 1.5;  ///< samples; below them a rate may be a folded one
constexpr std::size_t looked_at = 400'000;                      ///< samples for medians and quantiles

double quantile_of(std::vector<float>& values, double share) {
    const auto at = static_cast<std::ptrdiff_t>(share * static_cast<double>(values.size() - 1));
    std::nth_element(values.begin(), values.begin() + at, values.end());
    return static_cast<double>(values[static_cast<std::size_t>(at)]);
}

// Second differences of white noise have six times its variance; 0.6745 is the median of |N(0, 1)|.
double noise_of(std::span<const float> v) {
    std::vector<float> differences;
    const std::size_t every = v.size() / looked_at + 1;
    for (std::size_t i = 1; i + 1 < v.size(); i += every)
        differences.push_back(std::abs(v[i - 1] - 2.0F * v[i] + v[i + 1]));
    return quantile_of(differences, 0.5) / (0.6744898 * std::sqrt(6.0));
}

std::vector<float> smoothed(std::span<const float> v, std::size_t width) {
    if (width <= 1) return {v.begin(), v.end()};
    std::vector<float> result(v.size());
    const std::size_t half = width / 2;
    double sum = 0.0;
    for (std::size_t i = 0; i < std::min(half, v.size()); ++i) sum += static_cast<double>(v[i]);
    for (std::size_t i = 0; i < v.size(); ++i) {
        if (i + half < v.size()) sum += static_cast<double>(v[i + half]);
        if (i > half) sum -= static_cast<double>(v[i - half - 1]);
        const std::size_t from = i > half ? i - half : 0, to = std::min(i + half, v.size() - 1);
        result[i] = static_cast<float>(sum / static_cast<double>(to - from + 1));
    }
    return result;
}

/// Crossings of a level with hysteresis, in samples; falls and rises take turns.
struct Edges {
    std::vector<double> falls, rises;
    double fall_slope = 0.0, rise_slope = 0.0;  ///< mean size, a sample
};

Edges edges_of(std::span<const float> v, double level, double hysteresis) {
    Edges edges;
    int side = 0;
    double last_fall = 0.0, last_rise = 0.0, fall_slope = 0.0, rise_slope = 0.0;
    for (std::size_t i = 0; i < v.size(); ++i) {
        const auto now = static_cast<double>(v[i]);
        if (i > 0) {
            const auto before = static_cast<double>(v[i - 1]);
            // Of several crossings within the noise the middle one stands for all.
            if (before >= level && now < level) {
                last_fall = static_cast<double>(i - 1) + (before - level) / (before - now);
                fall_slope = before - now;
            } else if (before <= level && now > level) {
                last_rise = static_cast<double>(i - 1) + (level - before) / (now - before);
                rise_slope = now - before;
            }
        }
        if (now < level - hysteresis && side >= 0) {
            if (side > 0) {
                edges.falls.push_back(last_fall);
                edges.fall_slope += fall_slope;
            }
            side = -1;
        } else if (now > level + hysteresis && side <= 0) {
            if (side < 0) {
                edges.rises.push_back(last_rise);
                edges.rise_slope += rise_slope;
            }
            side = 1;
        }
    }
    if (!edges.falls.empty()) edges.fall_slope /= static_cast<double>(edges.falls.size());
    if (!edges.rises.empty()) edges.rise_slope /= static_cast<double>(edges.rises.size());
    return edges;
}

/// A straight line through events, numbered by the period that fits them.
struct Train {
    double period = 0.0, residual = 0.0, slope_variance = 0.0;  ///< samples, root mean square, samples² a period²
    std::size_t periods = 0;                                    ///< between the first and the last
    bool even = false, wanders = false;
};

// Slow residuals (a wandering rate) make a slope less certain than independent ones of the same size would:
// the first cosines of their spectrum tell.
double slowness(const std::vector<double>& residuals, double variance) {
    const std::size_t n = residuals.size();
    if (n < 24 || !(variance > 0.0)) return 1.0;
    double low = 0.0;
    constexpr int first = 2, last = 9;
    for (int k = first; k <= last; ++k) {
        double sum = 0.0;
        for (std::size_t i = 0; i < n; ++i)
            sum +=
                residuals[i] * std::cos(std::numbers::pi * k * (static_cast<double>(i) + 0.5) / static_cast<double>(n));
        low += 2.0 * sum * sum / static_cast<double>(n) / variance;
    }
    low /= last - first + 1;
    // A random walk of n steps: its slope is 1.5 n times as uncertain as its residuals alone would tell
    // (6/5 a step over n, against 12/n³ times n/15), and the cosines hold 0.103 n times their variance.
    constexpr double by_chance = 1.9;  // exceeded by 5 % of independent ones
    return std::max(1.0, 1.5 / 0.103 * (low - by_chance));
}

Train train_of(const std::vector<double>& at, double least_error) {
    Train train;
    const std::size_t n = at.size();
    if (n < 3) return train;
    std::vector<double> gaps(n - 1), number(n, 0.0);
    for (std::size_t i = 1; i < n; ++i) gaps[i - 1] = at[i] - at[i - 1];
    std::vector<double> ordered = gaps;
    std::nth_element(ordered.begin(), ordered.begin() + static_cast<std::ptrdiff_t>(ordered.size() / 2), ordered.end());
    double period = ordered[ordered.size() / 2];
    // The period follows the events slowly, so that a wandering train keeps its count.
    double uneven = 0.0, largest = 0.0;
    for (std::size_t i = 1; i < n; ++i) {
        const double steps = std::max(1.0, std::round(gaps[i - 1] / period));
        const double off = gaps[i - 1] / period - steps;
        uneven += off * off;
        largest = std::max(largest, std::abs(off));
        number[i] = number[i - 1] + steps;
        if (std::abs(off) < 0.25) period += 0.05 * (gaps[i - 1] / steps - period);
    }
    train.even = std::sqrt(uneven / static_cast<double>(n - 1)) < 0.15;
    if (!train.even) return train;
    const double count = static_cast<double>(n);
    const double mean_number = std::accumulate(number.begin(), number.end(), 0.0) / count;
    double mean_at = 0.0;
    for (const double t : at) mean_at += (t - at[0]) / count;
    double up = 0.0, spread = 0.0;
    for (std::size_t i = 0; i < n; ++i) {
        up += (number[i] - mean_number) * (at[i] - at[0] - mean_at);
        spread += (number[i] - mean_number) * (number[i] - mean_number);
    }
    train.period = up / spread;
    train.periods = static_cast<std::size_t>(number.back());
    std::vector<double> residuals(n);
    double square = 0.0, worst = 0.0;
    for (std::size_t i = 0; i < n; ++i) {
        residuals[i] = at[i] - at[0] - mean_at - train.period * (number[i] - mean_number);
        square += residuals[i] * residuals[i];
        worst = std::max(worst, std::abs(residuals[i]));
    }
    train.residual = std::sqrt(square / count);
    train.wanders = worst > 0.5 * train.period;
    const double found = square / (count - 2.0);
    // Few residuals may agree by chance.
    const double floor = least_error * least_error;
    const double variance = std::max(found, floor) * (n < 8 ? 2.0 : 1.0);
    train.slope_variance = variance / spread * slowness(residuals, square / count);
    return train;
}

double uncertainty(const Train& train) {
    return train.even ? std::sqrt(train.slope_variance) / train.period : 1e9;
}

struct Timed {
    Edges edges;
    std::vector<double> middles;
    Train train;
    double event_sd = 0.0;  ///< predicted error of one event's middle, samples
    double score = 1e300;   ///< the smaller, the better
    std::size_t width = 1;
    double low = 0.0, high = 0.0, level = 0.0;
    double unresolved = 0.0;  ///< 1: edges fall between two samples; 0: they take two or more
    double short_side = 0.0;  ///< mean length of a dip, samples
    bool down = true;
};

std::vector<double> middles_of(const Edges& edges, bool down) {
    const std::vector<double>& from = down ? edges.falls : edges.rises;
    const std::vector<double>& to = down ? edges.rises : edges.falls;
    std::vector<double> middles;
    for (std::size_t i = 0, k = 0; i < from.size(); ++i) {
        while (k < to.size() && to[k] < from[i]) ++k;
        if (k < to.size()) middles.push_back(0.5 * (from[i] + to[k]));
    }
    return middles;
}

// The trace smoothed over `width` samples: where it crosses half way, and how well that times an event.
Timed time_events(std::span<const float> values, std::size_t width, double noise) {
    Timed timed;
    timed.width = width;
    const std::vector<float> v = smoothed(values, width);
    std::vector<float> some;
    for (std::size_t i = 0; i < v.size(); i += v.size() / looked_at + 1) some.push_back(v[i]);
    timed.low = quantile_of(some, quantile);
    timed.high = quantile_of(some, 1.0 - quantile);
    timed.level = 0.5 * (timed.low + timed.high);
    const double left = noise / std::sqrt(static_cast<double>(width));
    const double range = timed.high - timed.low;
    const double hysteresis = std::max(0.15 * range, 3.0 * left);
    // The quantiles of noise alone are 6.6 of its standard deviations apart.
    if (!(range > 10.0 * left) || !(range > 0.0)) return timed;
    timed.edges = edges_of(v, timed.level, std::min(hysteresis, 0.4 * range));
    const Edges& e = timed.edges;
    if (e.falls.size() + e.rises.size() < 4 || !(e.fall_slope > 0.0) || !(e.rise_slope > 0.0)) return timed;
    const auto below = static_cast<double>(
        std::count_if(some.begin(), some.end(), [&](float x) { return static_cast<double>(x) < timed.level; }));
    timed.down = below <= 0.5 * static_cast<double>(some.size());
    timed.middles = middles_of(e, timed.down);
    timed.event_sd = 0.5 * left * std::hypot(1.0 / e.fall_slope, 1.0 / e.rise_slope);
    // An edge within one sample says no more than between which two it lies.
    const double edge_samples = range / std::max(e.fall_slope, e.rise_slope) - static_cast<double>(width - 1);
    timed.unresolved = std::clamp(2.0 - edge_samples, 0.0, 1.0);
    timed.event_sd = std::max(0.002, std::hypot(timed.event_sd, 0.5 * timed.unresolved / std::sqrt(12.0)));
    // Edges that jitter apart: the steadier of the two alone may time the train better than the middle.
    timed.train = train_of(timed.middles, timed.event_sd);
    for (const std::vector<double>* edge : {&e.falls, &e.rises}) {
        const Train alone = train_of(*edge, 1.4 * timed.event_sd);
        if (uncertainty(alone) < 0.8 * uncertainty(timed.train)) timed.train = alone;
    }
    const double share = below / static_cast<double>(some.size());
    timed.short_side = std::min(share, 1.0 - share) * timed.train.period;
    timed.score = timed.train.even ? uncertainty(timed.train) : 1e9 + timed.event_sd;
    return timed;
}

void measure_below(std::span<const float> values, double increment, TraceShape& shape) {
    std::size_t below = 0, run = 0, longest = 0;
    for (const float x : values) {
        if (static_cast<double>(x) < shape.level) {
            ++below;
            shape.times_below += run++ == 0;
            longest = std::max(longest, run);
        } else {
            run = 0;
        }
    }
    shape.below_share = static_cast<double>(below) / static_cast<double>(values.size());
    shape.below_seconds = increment * static_cast<double>(below);
    shape.longest_below_seconds = increment * static_cast<double>(longest);
}

// From sample to sample between two sides, which looks like noise: of a normal distribution as wide as its quantiles
// nine tenths lie in the middle half, of a sine a third, of a rectangle nothing.
bool keeps_off_the_middle(std::span<const float> values, const Timed& timed) {
    constexpr double middle_of_noise = 0.45;
    const double quarter = 0.25 * (timed.high - timed.low);
    const auto within = std::count_if(values.begin(), values.end(), [&](float x) {
        return std::abs(static_cast<double>(x) - timed.level) < quarter;
    });
    return static_cast<double>(within) < middle_of_noise * static_cast<double>(values.size());
}

}  // namespace

TraceShape analyse_trace(std::span<const float> values, double increment_seconds, double increment_sd,
                         std::optional<double> level) {
    TraceShape shape;
    if (values.empty()) return shape;
    const auto [low, high] = std::minmax_element(values.begin(), values.end());
    shape.minimum = static_cast<double>(*low);
    shape.maximum = static_cast<double>(*high);
    double sum = 0.0;
    for (const float x : values) sum += static_cast<double>(x);
    shape.mean = sum / static_cast<double>(values.size());
    if (values.size() >= fewest_for_noise) shape.noise_sd = noise_of(values);

    Timed best;
    const std::size_t widest = std::min<std::size_t>(values.size() / 8, 4096);
    for (std::size_t width = 1; width <= widest; width = width * 2 + 1) {
        // Smoothing over more than the short side would mix one event with the next.
        if (best.train.even && static_cast<double>(width) > best.short_side) break;
        Timed timed = time_events(values, width, shape.noise_sd);
        const bool better = timed.score < 0.95 * best.score;
        const bool worse = best.score < 1e300 && timed.score > 3.0 * best.score;
        if (better) best = std::move(timed);
        if (worse || shape.noise_sd <= 0.0) break;
    }
    bool jumps = false;
    if (best.score >= 1e300) {
        best = Timed();
        best.low = shape.minimum;
        best.high = shape.maximum;
        best.level = 0.5 * (shape.minimum + shape.maximum);
        jumps = shape.noise_sd > 0.0 && keeps_off_the_middle(values, best);
    }
    shape.ripple = best.high - best.low;
    shape.event_level = best.level;
    shape.dips_down = best.down;
    shape.level = level.value_or(best.level);
    measure_below(values, increment_seconds, shape);
    std::size_t at_event_level = 0;
    for (const float x : values) at_event_level += (static_cast<double>(x) < best.level) == best.down;
    shape.duty = static_cast<double>(at_event_level) / static_cast<double>(values.size());
    for (const double at : best.middles) shape.events.push_back(increment_seconds * at);

    const Train& train = best.train;
    // Samples further apart than half a period show a slower rate than there is, or none that is even.
    const double each = static_cast<double>(values.size()) / std::max(1.0, static_cast<double>(best.middles.size()));
    const double period = train.even ? train.period : each;
    const double event = train.even ? best.short_side : shape.duty * each;
    if ((train.even || best.middles.size() >= 3) && (period < fewest_a_period || event < fewest_an_event)) {
        shape.coarse_hz = 1.0 / (period * increment_seconds);
        return shape;
    }
    if (jumps) {
        std::size_t falls = 0;
        for (std::size_t i = 1; i < values.size(); ++i)
            falls += static_cast<double>(values[i - 1]) >= best.level && static_cast<double>(values[i]) < best.level;
        shape.coarse_hz = static_cast<double>(falls) / (static_cast<double>(values.size()) * increment_seconds);
    }
    if (!train.even) return shape;
    Repetition repetition;
    repetition.hz = 1.0 / (train.period * increment_seconds);
    // Where samples and events nearly keep step, unresolved edges err alike at first and otherwise at last.
    const double in_step = best.unresolved / std::sqrt(6.0) / (static_cast<double>(train.periods) * train.period);
    repetition.hz_sd = repetition.hz * std::hypot(uncertainty(train), increment_sd, in_step);
    repetition.jitter_seconds = train.residual * increment_seconds;
    repetition.skipped = train.periods + 1 > best.middles.size() ? train.periods + 1 - best.middles.size() : 0;
    repetition.wanders = train.wanders;
    shape.repetition = repetition;
    return shape;
}

}  // namespace tattletone::scope
