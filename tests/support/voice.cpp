#include "support/voice.h"
#include "support/names.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "base/decibels.h"

namespace tattletone::scenes {

namespace {

/// Level of harmonic n by the shape of the drive alone; -400: it has none.
std::vector<double> draw_shape(Shape shape, int harmonics, Random& random) {
    std::vector<double> level_db(static_cast<std::size_t>(harmonics), -400.0);
    const double fall_db = random.uniform(1.0, 5.0);
    const double even_db = random.uniform(12.0, 40.0);
    const bool squared = random.chance(0.3);
    const double second_db = random.uniform(15.0, 40.0);
    for (int n = 1; n <= harmonics; ++n) {
        double& level = level_db[static_cast<std::size_t>(n - 1)];
        switch (shape) {
            case Shape::pulse:
                level = -fall_db * std::log2(n);
                break;
            case Shape::square:
                level = -20.0 * std::log10(n) - (n % 2 == 0 ? even_db : 0.0);
                break;
            case Shape::sine:
                if (n == 1 && !squared) level = 0.0;
                if (n == 2) level = squared ? 0.0 : -second_db;
                break;
        }
    }
    return level_db;
}

/// A board is small against the wave below some kilohertz and radiates poorly there (P. M. Morse and
/// K. U. Ingard, Theoretical Acoustics, 7.1: the power of a small source grows with frequency squared).
double radiation_db(double hz) {
    constexpr double corner_hz = 4000.0;
    return -10.0 * std::log10(1.0 + (corner_hz / hz) * (corner_hz / hz));
}

/// How much of a moment around `t` lies within a burst.
double share_on(const Voice& voice, double t, double seconds) {
    const double width = seconds * voice.burst_hz;
    const double at = t * voice.burst_hz + voice.burst_phase;
    const double part = at - std::floor(at);
    const double rising = std::clamp(part / width + 0.5, 0.0, 1.0) + std::clamp((part - 1.0) / width + 0.5, 0.0, 1.0);
    const double falling = std::clamp((part - voice.burst_duty) / width + 0.5, 0.0, 1.0);
    return std::clamp(rising - falling, 0.0, 1.0);
}

}  // namespace

Resonances::Resonances(double sd_db, Random& random) {
    constexpr int count = 24;
    for (int i = 0; i < count; ++i)
        waves_.push_back(
            {random.uniform(0.1, 3.0), random.uniform(0.0, 2.0 * std::numbers::pi), sd_db * std::sqrt(2.0 / count)});
}

double Resonances::gain_db(double hz) const {
    double sum = 0.0;
    for (const Wave& wave : waves_)
        sum += wave.weight_db * std::cos(2.0 * std::numbers::pi * wave.cycles_per_octave * std::log2(hz) + wave.phase);
    return sum;
}

Path draw_path(Timing timing, double mean_hz, std::size_t samples, double sample_rate_hz, double wander_scale,
               Random& random) {
    Path hz = constant_path(samples, mean_hz);
    const double seconds = static_cast<double>(samples) / sample_rate_hz;
    if (timing == Timing::resistor_capacitor) {
        const Path walk = smooth_walk(samples, sample_rate_hz, random.uniform(2.0, 15.0), random);
        const double drift = random.uniform(-1.0, 1.0) * 1e-3 * wander_scale;
        const double sway = random.log_uniform(1e-5, 3e-4) * wander_scale;
        const double jitter = random.log_uniform(1e-5, 5e-4) * wander_scale;
        for (std::size_t i = 0; i < hz.size(); ++i) {
            const double part = static_cast<double>(i) / static_cast<double>(hz.size()) - 0.5;
            hz[i] *= 1.0 + drift * part + sway * walk[i] + jitter * random.normal();
        }
    } else if (timing == Timing::wandering) {
        const Path walk = smooth_walk(samples, sample_rate_hz, random.uniform(1.0, 5.0), random);
        const bool warming = random.chance(0.35);
        const double sink = warming ? random.uniform(0.05, 0.10) * wander_scale : 0.0;
        const double sway = (warming ? random.log_uniform(3e-4, 2e-3) : random.log_uniform(5e-4, 5e-3)) * wander_scale;
        const double settling = random.uniform(3.0, 20.0);
        for (std::size_t i = 0; i < hz.size(); ++i) {
            const double t = static_cast<double>(i) * control_samples / sample_rate_hz;
            const double sunk = -std::expm1(-t / settling) / -std::expm1(-seconds / settling);
            hz[i] *= (1.0 + sink * (0.5 - sunk)) * (1.0 + sway * walk[i]);
        }
    }
    return hz;
}

std::vector<VoiceLine> draw_lines(Shape shape, double hz, const Resonances& resonances, const Room& room, Band band,
                                  Random& random) {
    const int most = std::min(64, static_cast<int>(band.high_hz / hz));
    std::vector<VoiceLine> lines;
    if (most < 1) return lines;
    const std::vector<double> shape_db = draw_shape(shape, most, random);
    double strongest = -400.0;
    for (int n = 1; n <= most; ++n) {
        const bool absent = random.chance(0.12);
        const double line_hz = n * hz;
        if (shape_db[static_cast<std::size_t>(n - 1)] < -300.0 || line_hz < band.low_hz) continue;
        if (absent && shape != Shape::sine) continue;
        lines.push_back({static_cast<double>(n), shape_db[static_cast<std::size_t>(n - 1)] +
                                                     resonances.gain_db(line_hz) + radiation_db(line_hz) +
                                                     room.response_db(line_hz)});
        strongest = std::max(strongest, lines.back().level_db);
    }
    std::erase_if(lines, [strongest](const VoiceLine& line) { return line.level_db < strongest - 60.0; });
    return lines;
}

std::vector<TrueLine> add_voice(std::span<double> to, const Voice& voice, double tone_to_noise_db, const Room& room,
                                int take, Random& random) {
    const double fs = room.sample_rate_hz;
    const double mean_hz = mean_of(voice.hz);
    double strongest = -400.0;
    for (const VoiceLine& line : voice.lines) {
        const double hz = line.multiple * mean_hz;
        strongest = std::max(strongest, line.level_db - power_to_db(room.density(hz) * critical_band_hz(hz)));
    }
    const double raise_db = tone_to_noise_db - strongest;

    Path on(path_length(to.size()));
    double on_seconds = 0.0, hz_sum = 0.0, weight = 0.0;
    for (std::size_t i = 0; i < on.size(); ++i) {
        const double t = static_cast<double>(i) * control_samples / fs;
        const double fade = std::min((t - voice.from_seconds) / 0.05, (voice.to_seconds - t) / 0.05);
        on[i] = voice.from_seconds <= 0.0 && t < voice.to_seconds - 0.05 ? 1.0 : std::clamp(fade, 0.0, 1.0);
        if (voice.burst_hz > 0.0) on[i] *= share_on(voice, t, control_samples / fs);
        weight += on[i];
        hz_sum += on[i] * voice.hz[i];
    }
    on_seconds = std::min(weight * control_samples, static_cast<double>(to.size())) / fs;

    std::vector<TrueLine> added;
    for (const VoiceLine& line : voice.lines) {
        const double mean_square = db_to_power(line.level_db + raise_db);
        Path amplitude = on;
        for (std::size_t i = 0; i < amplitude.size(); ++i) {
            amplitude[i] *= std::sqrt(2.0 * mean_square);
            if (!voice.pressure.empty()) amplitude[i] *= voice.pressure[i];
            if (!voice.duty.empty()) amplitude[i] *= std::sin(line.multiple * std::numbers::pi * voice.duty[i]);
        }
        add_line(to, fs, voice.hz, line.multiple, amplitude, random.uniform(0.0, 2.0 * std::numbers::pi));

        TrueLine truth;
        truth.rate = voice.rate;
        truth.take = take;
        truth.multiple = line.multiple;
        truth.hz = line.multiple * hz_sum / weight;
        truth.level_dbfs = mean_square_to_dbfs(mean_square);
        truth.carrier_to_density_db_hz = power_to_db(mean_square / room.density(truth.hz));
        truth.tone_to_noise_db = truth.carrier_to_density_db_hz - power_to_db(critical_band_hz(truth.hz));
        truth.seconds = on_seconds;
        truth.steady = voice.steady;
        added.push_back(truth);
    }
    return added;
}

}  // namespace tattletone::scenes
