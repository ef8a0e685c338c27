#pragma once

#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <numbers>

#include "sound/recording.h"
#include "support/names.h"
#include "support/signals.h"

namespace tattletone::scenes {

inline constexpr double bench_rate_hz = 48000.0;
inline constexpr double bench_seconds = 10.0;
inline constexpr double bench_noise_rms = 0.01;

/// The first word of the command line, else `usual`; 0, and told, where it is no number of trials.
inline int trials_asked(int argc, char** argv, int usual) {
    const int trials = argc > 1 ? std::atoi(argv[1]) : usual;
    if (trials >= 1) return trials;
    std::fprintf(stderr, "usage: %s [TRIALS]\n", argv[0]);
    return 0;
}

/// Ten seconds of white noise, and a line where the carrier to noise density is above -100 dB-Hz.
inline Recording line_in_noise(double hz, double carrier_to_density_db_hz, Random& random) {
    const auto samples = static_cast<std::size_t>(bench_seconds * bench_rate_hz);
    Signal signal(samples);
    NoiseSource{bench_noise_rms, {}}.add_to(signal, random);
    if (carrier_to_density_db_hz > -100.0) {
        const double density = bench_noise_rms * bench_noise_rms / (0.5 * bench_rate_hz);
        const double amplitude = std::sqrt(2.0 * density * std::pow(10.0, 0.1 * carrier_to_density_db_hz));
        add_line(signal, bench_rate_hz, hz, amplitude, random.uniform(0.0, 2.0 * std::numbers::pi));
    }
    Recording recording;
    recording.sample_rate_hz = bench_rate_hz;
    recording.origin = "bench";
    recording.codec = "pcm";
    recording.samples.assign(signal.begin(), signal.end());
    return recording;
}

}  // namespace tattletone::scenes
