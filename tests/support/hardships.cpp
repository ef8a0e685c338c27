#include "support/hardships.h"

#include <algorithm>
#include <cmath>
#include <complex>
#include <deque>
#include <numbers>

namespace tattletone::scenes {

namespace {

using Spectrum = std::vector<std::complex<double>>;

/// In place, size a power of two; `inverse` without the division by the size.
void transform(Spectrum& x, bool inverse) {
    const std::size_t n = x.size();
    for (std::size_t i = 1, j = 0; i < n; ++i) {
        std::size_t bit = n >> 1;
        for (; j & bit; bit >>= 1) j ^= bit;
        j ^= bit;
        if (i < j) std::swap(x[i], x[j]);
    }
    for (std::size_t length = 2; length <= n; length <<= 1) {
        const double angle = (inverse ? 2.0 : -2.0) * std::numbers::pi / static_cast<double>(length);
        for (std::size_t start = 0; start < n; start += length)
            for (std::size_t k = 0; k < length / 2; ++k) {
                const auto turned = std::polar(1.0, angle * static_cast<double>(k)) * x[start + k + length / 2];
                x[start + k + length / 2] = x[start + k] - turned;
                x[start + k] += turned;
            }
    }
}

/// The least of the last `count` values.
class RunningMinimum {
  public:
    explicit RunningMinimum(std::size_t count) : count_(count) {}

    double of(double value) {
        while (!kept_.empty() && kept_.back().second >= value) kept_.pop_back();
        kept_.emplace_back(now_++, value);
        if (kept_.front().first + count_ <= now_ - 1) kept_.pop_front();
        return kept_.front().second;
    }

  private:
    std::size_t count_, now_ = 0;
    std::deque<std::pair<std::size_t, double>> kept_;
};

}  // namespace

const char* name_of(Hardship hardship) {
    constexpr const char* names[] = {"none",          "hand-held", "phone",     "spread-clock",
                                     "changing-duty", "two-units", "under-load"};
    return names[static_cast<int>(hardship)];
}

Handling draw_handling(std::size_t samples, double sample_rate_hz, Random& random) {
    constexpr double held_m = 0.03, sound_m_per_s = 343.0;
    const double sway_m = random.uniform(0.005, 0.015) / std::numbers::sqrt2, tremor_m = 5e-5 * std::numbers::sqrt2;
    // A walk that forgets within a second sways at some 0.15 Hz.
    const Path sway = smooth_walk(samples, sample_rate_hz, 1.0, random);
    const Path tremor_level = smooth_walk(samples, sample_rate_hz, 0.5, random);
    const double tremor_hz = random.uniform(6.0, 8.0), step_seconds = control_samples / sample_rate_hz;
    Path distance_m(sway.size());
    for (std::size_t i = 0; i < sway.size(); ++i) {
        const double t = static_cast<double>(i) * step_seconds;
        const double tremor = tremor_level[i] * std::sin(2.0 * std::numbers::pi * tremor_hz * t);
        distance_m[i] = std::max(0.005, held_m + sway_m * sway[i] + tremor_m * tremor);
    }
    Handling handling{Path(sway.size(), 1.0), Path(sway.size(), 1.0)};
    for (std::size_t i = 0; i < sway.size(); ++i) {
        handling.pressure[i] = held_m / distance_m[i];
        if (i > 0) handling.frequency[i] = 1.0 - (distance_m[i] - distance_m[i - 1]) / (step_seconds * sound_m_per_s);
    }
    return handling;
}

Path draw_duty(std::size_t samples, double sample_rate_hz, Random& random) {
    const double middle = random.uniform(0.2, 0.8), sweep_hz = random.log_uniform(0.1, 1.0);
    const double reach = std::min({random.uniform(0.05, 0.4), middle - 0.1, 0.9 - middle});
    const double phase = random.uniform(0.0, 2.0 * std::numbers::pi);
    Path duty = constant_path(samples, middle);
    for (std::size_t i = 0; i < duty.size(); ++i) {
        const double t = static_cast<double>(i) * control_samples / sample_rate_hz;
        duty[i] += reach * std::sin(2.0 * std::numbers::pi * sweep_hz * t + phase);
    }
    return duty;
}

void suppress_noise(std::span<double> signal, double sample_rate_hz) {
    constexpr double least_gain = 0.178, smoothing = 0.85, bias = 1.5;  // -15 dB
    const std::size_t size = sample_rate_hz > 60000.0 ? 2048 : 1024, hop = size / 2;
    const auto frames_of_memory = static_cast<std::size_t>(1.5 * sample_rate_hz / static_cast<double>(hop));
    std::vector<RunningMinimum> minimum(size / 2 + 1, RunningMinimum(frames_of_memory));
    std::vector<double> smooth(size / 2 + 1, -1.0), window(size);
    for (std::size_t i = 0; i < size; ++i)  // the square root of a Hann window, before and after
        window[i] = std::sin(std::numbers::pi * (static_cast<double>(i) + 0.5) / static_cast<double>(size));
    Signal cleaned(signal.size());
    Spectrum frame(size);
    for (std::size_t start = 0; start + size <= signal.size(); start += hop) {
        for (std::size_t i = 0; i < size; ++i) frame[i] = window[i] * signal[start + i];
        transform(frame, false);
        for (std::size_t k = 0; k <= size / 2; ++k) {
            const double power = std::norm(frame[k]);
            smooth[k] = smooth[k] < 0.0 ? power : smoothing * smooth[k] + (1.0 - smoothing) * power;
            const double noise = bias * minimum[k].of(smooth[k]);
            const double gain = std::max(least_gain, 1.0 - noise / std::max(power, 1e-300));
            frame[k] *= gain;
            if (k > 0 && k < size / 2) frame[size - k] = std::conj(frame[k]);
        }
        transform(frame, true);
        for (std::size_t i = 0; i < size; ++i)
            cleaned[start + i] += window[i] * frame[i].real() / static_cast<double>(size);
    }
    std::copy(cleaned.begin(), cleaned.end(), signal.begin());
}

void apply_automatic_gain(std::span<double> signal, double sample_rate_hz) {
    double envelope = 1e-4;
    const double rise = 1.0 / (0.02 * sample_rate_hz), fall = 1.0 / (1.5 * sample_rate_hz);
    for (double& value : signal) {
        const double size = std::abs(value);
        envelope += (size - envelope) * (size > envelope ? rise : fall);
        value *= std::min(30.0, 0.05 / std::max(envelope, 1e-6));
    }
}

}  // namespace tattletone::scenes
