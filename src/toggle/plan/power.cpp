#include "toggle/plan/power.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "toggle/trial/trial.h"
#include "tones/judge/critical_band.h"

namespace tattletone::toggle {
namespace {

constexpr double line_amplitude_weight = 4.0;  // as in windows.cpp
constexpr double phase_kept = 0.95;      // of the amplitude, the phase being told by steps that are in the noise too
constexpr double line_share = 0.1;       // prior of a line and pace that are not far-fetched (watched.cpp, search.cpp)
constexpr double normal_90 = 1.2815516;  // standard normal quantile
constexpr double grid_loss = 0.95;       // of the correlation, by places and paces between those that are tried
constexpr double most_db = 60.0;

struct Moments {
    double mean = 0.0, square = 0.0;
};

// Of a level where the line has so many times the noise's power: of its amplitude, in the phase that the steps around
// tell, the noise moves a half of its own power (windows.cpp).
Moments moments_at(double ratio) {
    constexpr double reach = 4.0, step = 0.0625;
    const double amplitude = phase_kept * std::sqrt(ratio);
    Moments moments;
    double weights = 0.0;
    for (double a = -reach; a <= reach; a += step) {
        const double weight = std::exp(-a * a);
        const double value =
            2.0 * std::log(std::max(amplitude + a, -0.75 * line_amplitude_weight) + line_amplitude_weight);
        weights += weight;
        moments.mean += weight * value;
        moments.square += weight * value * value;
    }
    moments.mean /= weights;
    moments.square /= weights;
    return moments;
}

double correlation_of(double on_ratio, double off_ratio) {
    const Moments on = moments_at(on_ratio), off = moments_at(off_ratio);
    const double half = 0.5 * (on.mean - off.mean);
    const double within = 0.5 * (on.square - on.mean * on.mean + off.square - off.mean * off.mean);
    return half / std::sqrt(half * half + within);
}

// The correlation from which on nine in ten are found. Drawn columns reach the score T with probability A e^-T / √(πT),
// A the independent places: two a step and sign.
double correlation_needed(const Plan& plan) {
    const double steps = static_cast<double>(plan.steps());
    double score = 10.0;
    for (int i = 0; i < 20; ++i)
        score = std::log(2.0 * steps * static_cast<double>(plan.parts.size()) / proven_p) -
                0.5 * std::log(std::numbers::pi * score);
    const double deviations = std::sqrt(2.0 * (score - std::log(line_share))) + normal_90;
    return std::sqrt(1.0 - std::exp(-deviations * deviations / steps)) / grid_loss;
}

double ratio_of(const Plan& plan, double settle_seconds, double hz, double tone_to_noise_db) {
    return std::pow(10.0, 0.1 * tone_to_noise_db) * tones::critical_bandwidth_hz(hz) *
           (plan.step_seconds - settle_seconds);
}

}  // namespace

std::optional<double> smallest_change_db(const Plan& plan, double settle_seconds, double hz, double tone_to_noise_db) {
    const double on = ratio_of(plan, settle_seconds, hz, tone_to_noise_db), needed = correlation_needed(plan);
    if (correlation_of(on, on * std::pow(10.0, -0.1 * most_db)) < needed) return {};
    double low = 0.0, high = most_db;
    for (int i = 0; i < 14; ++i) {
        const double middle = 0.5 * (low + high);
        (correlation_of(on, on * std::pow(10.0, -0.1 * middle)) < needed ? low : high) = middle;
    }
    return high;
}

Power power_of(const Plan& plan, double settle_seconds) {
    Power power;
    double low = -60.0, high = 40.0;
    for (int i = 0; i < 12; ++i) {
        const double middle = 0.5 * (low + high);
        (correlation_of(ratio_of(plan, settle_seconds, power.hz, middle), 0.0) < correlation_needed(plan) ? low
                                                                                                          : high) =
            middle;
    }
    power.whole_from_db = high;
    return power;
}

}  // namespace tattletone::toggle
