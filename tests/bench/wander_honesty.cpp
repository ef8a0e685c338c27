// Whether hz_sd of moving lines is true: error of the mean frequency against the mean of the true path.
//     wander_honesty [TRIALS]            100 by default for each kind of movement and each level
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <vector>

#include "bench/bench_tone.h"
#include "support/names.h"
#include "tones/find_tones.h"

using namespace tattletone;
using namespace tattletone::scenes;

namespace {

Recording moving(int kind, double tone_to_noise_db, Random& random, double& mean_hz) {
    const auto samples = static_cast<std::size_t>(bench_seconds * bench_rate_hz);
    Signal signal(samples);
    NoiseSource{bench_noise_rms, {}}.add_to(signal, random);
    const double middle = random.log_uniform(2000.0, 16000.0);
    const double sink = kind == 0 ? random.uniform(0.05, 0.10) : 0.0;
    const double depth = kind == 1 ? random.uniform(0.003, 0.015) : 0.0;
    const double turns = random.uniform(0.05, 0.3), start = random.uniform(0.0, 6.28);
    const double step = kind == 2 ? 1e-8 * random.uniform(2.0, 10.0) : 0.0;
    const double density = bench_noise_rms * bench_noise_rms / (0.5 * bench_rate_hz);
    const double amplitude =
        std::sqrt(2.0 * density * critical_band_hz(middle) * std::pow(10.0, 0.1 * tone_to_noise_db));
    double phase = random.uniform(0.0, 6.28), walk = 0.0, speed = 0.0;
    mean_hz = 0.0;
    for (std::size_t n = 0; n < samples; ++n) {
        const double seconds = static_cast<double>(n) / bench_rate_hz;
        if (n % 480 == 0) speed = random.normal();
        walk += step * speed;
        const double hz = middle * (1.0 + sink * (0.5 - seconds / bench_seconds) + walk +
                                    depth * std::sin(6.283185307 * turns * seconds + start));
        mean_hz += hz / static_cast<double>(samples);
        phase += 6.283185307179586 * hz / bench_rate_hz;
        signal[n] += amplitude * std::sin(phase);
    }
    Recording recording;
    recording.sample_rate_hz = bench_rate_hz;
    recording.samples.assign(signal.begin(), signal.end());
    return recording;
}

}  // namespace

int main(int argc, char** argv) {
    const int trials = argc > 1 ? std::atoi(argv[1]) : 100;
    constexpr const char* kinds[] = {"sinking 5-10 %", "swaying 0.3-1.5 %", "random walk"};
    double all = 0.0;
    int all_found = 0;
    std::printf("moving lines, 10 s at 48 kHz, %d trials each\n", trials);
    for (int kind = 0; kind < 3; ++kind)
        for (const double level : {0.0, 10.0, 20.0}) {
            double squares = 0.0;
            int found = 0;
            for (int trial = 0; trial < trials; ++trial) {
                Random random(8000000u + static_cast<std::uint64_t>(trial + 1000 * kind) +
                              static_cast<std::uint64_t>(level) * 100000u);
                double mean_hz = 0.0;
                const Tones tones = find_tones(moving(kind, level, random, mean_hz));
                const Tone* best = nullptr;
                for (const Tone& tone : tones.tones)
                    if (std::abs(tone.hz - mean_hz) < 0.02 * mean_hz && tone.present > 0.9 &&
                        (!best || tone.level_dbfs > best->level_dbfs))
                        best = &tone;
                if (!best) continue;
                ++found;
                const double z = (best->hz - mean_hz) / best->hz_sd;
                squares += z * z;
            }
            std::printf("%-18s %+3.0f dB tone-to-noise: found %d, sd of error/hz_sd %.2f\n", kinds[kind], level, found,
                        std::sqrt(squares / std::max(found, 1)));
            all += squares;
            all_found += found;
        }
    std::printf("all: sd of error/hz_sd %.2f (%d lines)\n", std::sqrt(all / std::max(all_found, 1)), all_found);
    return 0;
}
