#include "toggled_sound.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace tattletone::scenes {

Switching switching_of(const toggle::Plan& plan) {
    return [&plan](long long step) {
        const auto steps = static_cast<long long>(plan.steps());
        const auto at = static_cast<std::size_t>((step % steps + steps) % steps);
        unsigned on = 0;
        for (std::size_t part = 0; part < plan.columns.size(); ++part)
            on |= static_cast<unsigned>(plan.columns[part][at]) << part;
        return on;
    };
}

Signal perform(const Performance& p, double step_seconds, std::size_t steps, const Switching& switching,
               Random& random) {
    const auto samples = static_cast<std::size_t>(p.seconds * p.sample_rate_hz);
    const double density =
        std::pow(10.0, 0.1 * p.noise_dbfs_per_hz) * 0.5;  // a full-scale sine has a mean square of 1/2
    const double rms = std::sqrt(density * 0.5 * p.sample_rate_hz);
    Signal signal(samples);
    for (double& sample : signal) sample = rms * random.normal();
    for (const SwitchedLine& line : p.lines) {
        const double power = std::pow(10.0, 0.1 * line.tone_to_noise_db) * critical_band_hz(line.hz) * density;
        const double amplitude = std::sqrt(2.0 * power), quiet = std::pow(10.0, 0.05 * line.off_db);
        double phase = 2.0 * std::numbers::pi * random.uniform(), level = quiet;
        const double follow =
            line.settle_seconds > 0.0 ? 1.0 - std::exp(-3.0 / (line.settle_seconds * p.sample_rate_hz)) : 1.0;
        for (std::size_t i = 0; i < samples; ++i) {
            const double seconds = static_cast<double>(i) / p.sample_rate_hz;
            const auto step =
                static_cast<long long>(std::floor((seconds - p.start_seconds) / (step_seconds * (1.0 + p.pace))));
            const bool running = !p.once || (step >= 0 && step < static_cast<long long>(steps));
            const unsigned on = running ? switching(step) : 0;
            const double wanted = line.part < 0 || (on >> line.part & 1u) != 0 ? 1.0 : quiet;
            level += follow * (wanted - level);
            const bool moved = line.pitched_by >= 0 && (on >> line.pitched_by & 1u) != 0;
            phase += 2.0 * std::numbers::pi * (line.hz + (moved ? line.pitch_hz : 0.0)) / p.sample_rate_hz;
            signal[i] += amplitude * level * std::cos(phase);
        }
    }
    return signal;
}

Room room_for_16_khz(Random& random) {
    return draw_room(48000.0, 1.0, random);
}

Signal background_at_16_khz(const Room& room, std::size_t samples, Random& random) {
    constexpr std::size_t third = 3;
    Signal fine = make_background(room, third * samples, random);
    // Butterworth's fourth order.
    for (const double q : {0.541, 1.307}) Biquad::low_pass(7000.0, q, room.sample_rate_hz).run(fine);
    Signal signal(samples);
    for (std::size_t i = 0; i < samples; ++i) signal[i] = fine[third * i];
    return signal;
}

sound::Recording recording_of(const Signal& signal, double sample_rate_hz) {
    sound::Recording recording;
    recording.samples = quantise_16_bit(signal);
    recording.sample_rate_hz = sample_rate_hz;
    recording.origin = "toggled";
    return recording;
}

void level_automatically(Signal& signal, double sample_rate_hz) {
    constexpr double seconds = 0.3, wanted_rms = 0.05, most_gain = 100.0;
    const double follow = 1.0 - std::exp(-1.0 / (seconds * sample_rate_hz));
    double square = 1e-6;
    for (double& sample : signal) {
        square += follow * (sample * sample - square);
        sample *= std::min(most_gain, wanted_rms / std::sqrt(square));
    }
}

void lose(Signal& signal, double sample_rate_hz, double from_seconds, double seconds, bool silence) {
    const auto from = signal.begin() + static_cast<std::ptrdiff_t>(from_seconds * sample_rate_hz);
    const auto to = from + static_cast<std::ptrdiff_t>(seconds * sample_rate_hz);
    if (silence)
        std::fill(from, to, 0.0);
    else
        signal.erase(from, to);
}

}  // namespace tattletone::scenes
