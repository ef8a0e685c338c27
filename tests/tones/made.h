#pragma once

#include <cmath>
#include <cstdint>
#include <numbers>
#include <span>
#include <string>
#include <vector>

#include "sound/recording.h"
#include "support/names.h"
#include "support/random.h"
#include "tones/tones.h"

/// Sound made for these tests: every draw from a seed, every density known.
namespace tattletone::made {

inline constexpr double rate_hz = 48000.0;

inline std::vector<float> white(std::size_t size, double rms, std::uint64_t seed) {
    scenes::Random random(seed);
    std::vector<float> samples(size);
    for (float& x : samples) x = static_cast<float>(rms * random.normal());
    return samples;
}

/// Adds amplitude(t) · cos(2π ∫ hz(t) dt + phase), t in seconds.
template <class Hz, class Amplitude>
void add_path(std::span<float> to, double sample_rate_hz, Hz hz, Amplitude amplitude, double phase) {
    double turns = phase / (2.0 * std::numbers::pi);
    for (std::size_t n = 0; n < to.size(); ++n) {
        const double t = static_cast<double>(n) / sample_rate_hz;
        to[n] += static_cast<float>(amplitude(t) * std::cos(2.0 * std::numbers::pi * turns));
        turns += hz(t) / sample_rate_hz;
        turns -= std::floor(turns);
    }
}

inline void add_tone(std::span<float> to, double sample_rate_hz, double hz, double amplitude, double phase = 0.4) {
    add_path(
        to, sample_rate_hz, [hz](double) { return hz; }, [amplitude](double) { return amplitude; }, phase);
}

/// Peak amplitude of a line that stands `db_hz` over white noise of `rms` (carrier to noise
/// density).
inline double amplitude_over_noise(double db_hz, double rms, double sample_rate_hz) {
    return std::sqrt(2.0 * rms * rms / (0.5 * sample_rate_hz) * std::pow(10.0, 0.1 * db_hz));
}

inline Recording recording(std::vector<float> samples, double sample_rate_hz = rate_hz) {
    Recording made;
    made.samples = std::move(samples);
    made.sample_rate_hz = sample_rate_hz;
    made.origin = "made";
    made.codec = "pcm";
    return made;
}

inline const Tone* nearest(const std::vector<Tone>& tones, double hz, double within_hz) {
    const Tone* best = nullptr;
    for (const Tone& tone : tones)
        if (std::abs(tone.hz - hz) < within_hz && (!best || std::abs(tone.hz - hz) < std::abs(best->hz - hz)))
            best = &tone;
    return best;
}

inline bool mentions(const std::vector<std::string>& notices, const std::string& word) {
    for (const std::string& notice : notices)
        if (notice.find(word) != std::string::npos) return true;
    return false;
}

}  // namespace tattletone::made
