#include "support/events.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

#include "support/names.h"
#include "support/signals.h"

namespace tattletone::scenes {

namespace {

std::size_t to_samples(double seconds, double sample_rate_hz) {
    return static_cast<std::size_t>(std::max(1.0, seconds * sample_rate_hz));
}

/// A part of the signal, cut at its end.
std::span<double> cut(std::span<double> signal, std::size_t at, std::size_t length) {
    if (at >= signal.size()) return {};
    return signal.subspan(at, std::min(length, signal.size() - at));
}

/// A noise burst through a resonance, dying away: a key, a drop, the hiss of an s.
void add_burst(std::span<double> to, double sample_rate_hz, double hz, double q, double peak, double rise_seconds,
               double fall_seconds, Random& random) {
    const Biquad filter = Biquad::band_pass(std::min(hz, 0.45 * sample_rate_hz), q, sample_rate_hz);
    std::vector<double> noise(to.size());
    for (double& value : noise) value = random.normal();
    filter.run(noise);
    const double fall = std::exp(-1.0 / (fall_seconds * sample_rate_hz));
    const double rise = 1.0 / std::max(1.0, rise_seconds * sample_rate_hz);
    const double gain = peak * std::sqrt(q * sample_rate_hz / (std::numbers::pi * hz));
    double up = 0.0, envelope = gain;
    for (std::size_t i = 0; i < to.size(); ++i) {
        up = std::min(1.0, up + rise);
        if (up >= 1.0) envelope *= fall;
        to[i] += envelope * up * noise[i];
    }
}

/// A vowel: harmonics under three formants with a gliding pitch.
void add_vowel(std::span<double> to, double sample_rate_hz, double level, double pitch_from_hz, double pitch_to_hz,
               Random& random) {
    const double formants[3] = {random.uniform(300, 800), random.uniform(900, 2300), random.uniform(2300, 3300)};
    const double pitch = 0.5 * (pitch_from_hz + pitch_to_hz);
    std::vector<double> weights;
    double power = 0.0;
    for (int k = 1; k * pitch < 5000.0; ++k) {
        double gain = 0.02;
        for (const double formant : formants) {
            const double off = (k * pitch - formant) / 120.0;
            gain += 1.0 / (1.0 + off * off);
        }
        weights.push_back(gain / std::sqrt(k));
        power += 0.5 * weights.back() * weights.back();
    }
    for (double& weight : weights) weight /= std::sqrt(power);
    const double vibrato_hz = random.uniform(3.0, 6.0), start = random.uniform(0.0, 6.0);
    std::vector<double> hz(to.size()), amplitude(to.size());
    const double length = static_cast<double>(to.size());
    for (std::size_t i = 0; i < to.size(); ++i) {
        const double part = static_cast<double>(i) / length;
        const double seconds = static_cast<double>(i) / sample_rate_hz;
        hz[i] = pitch_from_hz + (pitch_to_hz - pitch_from_hz) * part;
        hz[i] *= 1.0 + 0.015 * std::sin(2.0 * std::numbers::pi * vibrato_hz * seconds + start);
        amplitude[i] = level * std::sin(std::numbers::pi * part);
    }
    add_family(to, sample_rate_hz, hz, amplitude, weights);
}

}  // namespace

void add_speech(std::span<double> to, double sample_rate_hz, double level, Random& random) {
    const double voice_hz = random.uniform(90.0, 230.0);
    double seconds = random.uniform(0.0, 1.0);
    const double end = static_cast<double>(to.size()) / sample_rate_hz;
    while (seconds < end) {
        const double length = random.uniform(0.08, 0.32);
        const auto piece = cut(to, to_samples(seconds, sample_rate_hz), to_samples(length, sample_rate_hz));
        if (random.chance(0.7)) {
            const double from = voice_hz * std::exp(0.15 * random.normal());
            add_vowel(piece, sample_rate_hz, level, from, from * random.uniform(0.8, 1.15), random);
        } else {
            add_burst(piece, sample_rate_hz, random.uniform(2500.0, 7000.0), 1.0, 0.4 * level, 0.02, 0.05, random);
        }
        seconds += length + (random.chance(0.15) ? random.uniform(0.3, 1.2) : random.uniform(0.0, 0.08));
    }
}

void add_music(std::span<double> to, double sample_rate_hz, double level, Random& random) {
    const double tuning_hz = 440.0 * (1.0 + 0.003 * random.normal());
    const double end = static_cast<double>(to.size()) / sample_rate_hz;
    const double beat_seconds = random.uniform(0.2, 0.7);
    for (double seconds = 0.0; seconds < end; seconds += beat_seconds) {
        for (int voice = random.between(0, 3); voice > 0; --voice) {
            const double hz = tuning_hz * std::pow(2.0, random.between(-24, 24) / 12.0);
            const double length = beat_seconds * random.between(1, 4);
            const auto piece = cut(to, to_samples(seconds, sample_rate_hz), to_samples(length, sample_rate_hz));
            const double brightness = random.uniform(0.3, 0.8);
            const double fall = random.uniform(0.5, 4.0);
            for (int k = 1; k <= 8 && k * hz < 0.4 * sample_rate_hz; ++k) {
                Path amplitude(path_length(piece.size()));
                for (std::size_t i = 0; i < amplitude.size(); ++i) {
                    const double t = static_cast<double>(i) * control_samples / sample_rate_hz;
                    const double attack = std::min(1.0, t / 0.01), release = std::clamp((length - t) / 0.03, 0.0, 1.0);
                    amplitude[i] =
                        level * std::pow(brightness, k - 1) * attack * release * std::exp(-fall * t * std::sqrt(k));
                }
                add_line(piece, sample_rate_hz, constant_path(piece.size(), hz), k, amplitude,
                         random.uniform(0.0, 6.0));
            }
        }
    }
}

void add_typing(std::span<double> to, double sample_rate_hz, double level, Random& random) {
    const double end = static_cast<double>(to.size()) / sample_rate_hz;
    const double rate = random.uniform(2.0, 8.0);
    for (double seconds = random.uniform(0.0, 0.5); seconds < end; seconds -= std::log(1.0 - random.uniform()) / rate) {
        const auto piece = cut(to, to_samples(seconds, sample_rate_hz), to_samples(0.09, sample_rate_hz));
        add_burst(piece, sample_rate_hz, random.uniform(1500, 6000), 1.5, level * random.uniform(0.3, 1.0), 0.0005,
                  0.006, random);
        add_burst(piece, sample_rate_hz, random.uniform(200, 700), 3.0, 0.5 * level, 0.001, 0.015, random);
    }
}

void add_knocks(std::span<double> to, double sample_rate_hz, double level, Random& random) {
    const double end = static_cast<double>(to.size()) / sample_rate_hz;
    for (double seconds = random.uniform(0.0, 3.0); seconds < end; seconds += random.uniform(0.3, 4.0)) {
        const auto piece = cut(to, to_samples(seconds, sample_rate_hz), to_samples(0.6, sample_rate_hz));
        for (int mode = random.between(1, 4); mode > 0; --mode) {
            const double hz = random.log_uniform(80.0, 2500.0);
            const double fall = random.uniform(0.01, 0.12), peak = level * random.uniform(0.3, 1.0);
            Path amplitude(path_length(piece.size()));
            for (std::size_t i = 0; i < amplitude.size(); ++i)
                amplitude[i] = peak * std::exp(-static_cast<double>(i) * control_samples / (sample_rate_hz * fall));
            add_line(piece, sample_rate_hz, constant_path(piece.size(), hz), 1.0, amplitude, 1.5708);
        }
    }
}

void add_drops(std::span<double> to, double sample_rate_hz, double level, Random& random) {
    const double end = static_cast<double>(to.size()) / sample_rate_hz;
    const double rate = random.uniform(20.0, 150.0);
    for (double seconds = 0.0; seconds < end; seconds -= std::log(1.0 - random.uniform()) / rate) {
        const auto piece = cut(to, to_samples(seconds, sample_rate_hz), to_samples(0.012, sample_rate_hz));
        add_burst(piece, sample_rate_hz, random.log_uniform(1500, 12000), 1.5, level * random.uniform(0.05, 1.0),
                  0.0002, 0.0015, random);
    }
}

}  // namespace tattletone::scenes
