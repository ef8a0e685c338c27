// detection [TRIALS]: the level at which half of the steady lines are found, against the full-length
// periodogram with the same false-alarm rate for the recording (the generalised likelihood-ratio test).

#include <cmath>
#include <cstdio>
#include <cstdlib>

#include "bench/bench_tone.h"
#include "scenes/detection_theory.h"
#include "support/names.h"
#include "tones/find_tones.h"

namespace {

using namespace tattletone;
using namespace tattletone::scenes;

constexpr double false_alarm_rate = 0.001;

double share_found(double carrier_to_density_db_hz, int trials, Random& random) {
    int found = 0;
    for (int trial = 0; trial < trials; ++trial) {
        const double hz = random.uniform(2000.0, 18000.0);
        const Tones tones = find_tones(line_in_noise(hz, carrier_to_density_db_hz, random), {false_alarm_rate, 0});
        for (const Tone& tone : tones.tones) {
            if (std::abs(tone.hz - hz) > 0.3) continue;
            ++found;
            break;
        }
    }
    return static_cast<double>(found) / trials;
}

/// Where a rising curve of shares crosses one half, by straight lines between levels `step` apart.
template <class Share>
double half_level(double from, double step, int levels, Share&& share) {
    double before = 0.0;
    for (int i = 0; i < levels; ++i) {
        const double level = from + step * i;
        const double now = share(level);
        if (now >= 0.5) return i == 0 ? level : level - step * (now - 0.5) / (now - before);
        before = now;
    }
    return from + step * levels;
}

}  // namespace

int main(int argc, char** argv) {
    const int trials = trials_asked(argc, argv, 60);
    if (trials == 0) return 2;
    const double theory = half_level(-2.0, 0.05, 400, [](double level) {
        return periodogram_detection(level, bench_seconds, bench_rate_hz, false_alarm_rate);
    });
    Random random(77);
    const double ours = half_level(theory - 2.0, 0.5, 16, [&](double level) {
        const double share = share_found(level, trials, random);
        std::printf("  %.2f dB-Hz: found %.2f, the periodogram on average %.2f\n", level, share,
                    periodogram_detection(level, bench_seconds, bench_rate_hz, false_alarm_rate));
        return share;
    });
    std::printf("half found at %.2f dB-Hz; full-length periodogram %.2f; difference %+.2f dB\n", ours, theory,
                ours - theory);

    int alarms = 0;
    for (int trial = 0; trial < 5 * trials; ++trial) {
        const Tones tones = find_tones(line_in_noise(0.0, -400.0, random), {false_alarm_rate, 0});
        for (const Tone& tone : tones.tones) {
            if (tone.origin != Origin::board) continue;
            ++alarms;
            break;
        }
    }
    std::printf("white noise alone: a board tone in %d of %d recordings\n", alarms, 5 * trials);
    return 0;
}
