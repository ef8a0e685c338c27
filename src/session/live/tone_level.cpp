#include "session/live/tone_level.h"

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>
#include <vector>

#include "base/decibels.h"
#include "spectrum/window.h"

namespace tattletone::session {
namespace {

constexpr std::size_t fewest_samples = 64;
constexpr int most_steps = 24;  // to each side

}  // namespace

NearLevel level_near(std::span<const float> samples, double sample_rate_hz, double hz, double half_width_hz) {
    NearLevel best{hz, -400.0};
    if (samples.size() < fewest_samples || sample_rate_hz <= 0.0) return best;
    const std::vector<float> window = spectrum::sample(spectrum::hann_window, samples.size());
    std::vector<double> windowed(samples.size());
    double gain = 0.0;
    for (std::size_t i = 0; i < samples.size(); ++i) {
        windowed[i] = static_cast<double>(window[i]) * samples[i];
        gain += window[i];
    }
    const double bin_hz = sample_rate_hz / static_cast<double>(samples.size());
    const int steps = std::clamp(static_cast<int>(std::ceil(half_width_hz / (0.25 * bin_hz))), 2, most_steps);
    const double step_hz = std::max(0.25 * bin_hz, half_width_hz / steps);
    for (int step = -steps; step <= steps; ++step) {
        const double at = hz + step * step_hz;
        if (at <= 0.0 || at >= 0.5 * sample_rate_hz) continue;
        const auto turn = std::polar(1.0, -2.0 * std::numbers::pi * at / sample_rate_hz);
        std::complex<double> phase = 1.0, sum = 0.0;
        for (const double value : windowed) {
            sum += value * phase;
            phase *= turn;
        }
        const double amplitude = 2.0 * std::abs(sum) / gain;
        const double dbfs = base::power_to_db(amplitude * amplitude);
        if (dbfs > best.dbfs) best = {at, dbfs};
    }
    return best;
}

}  // namespace tattletone::session
