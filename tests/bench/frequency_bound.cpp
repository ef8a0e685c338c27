// frequency_bound [TRIALS]: error of a steady line's frequency against the Cramér-Rao bound, and how honest
// hz_sd is. 10 s at 48 kHz, white noise, 2 to 18 kHz.

#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <numbers>

#include "bench/bench_tone.h"
#include "support/names.h"
#include "tones/find_tones.h"

namespace {

using namespace tattletone;
using namespace tattletone::scenes;

/// var f >= 12 (fs/2π)² / (η N (N² - 1)), η = A²/2σ², for a real sinusoid of unknown amplitude and phase
/// (S. M. Kay, Fundamentals of Statistical Signal Processing I, example 3.14).
double bound_hz(double carrier_to_density_db_hz) {
    const double n = bench_seconds * bench_rate_hz;
    const double eta = std::pow(10.0, 0.1 * carrier_to_density_db_hz) / (0.5 * bench_rate_hz);
    return bench_rate_hz / (2.0 * std::numbers::pi) * std::sqrt(12.0 / (eta * n * (n * n - 1.0)));
}

void run(double carrier_to_density_db_hz, int trials) {
    Random random(static_cast<std::uint64_t>(1000.0 + carrier_to_density_db_hz));
    double squares = 0.0, scaled = 0.0;
    int found = 0;
    for (int trial = 0; trial < trials; ++trial) {
        const double hz = random.uniform(2000.0, 18000.0);
        const Tones tones = find_tones(line_in_noise(hz, carrier_to_density_db_hz, random));
        for (const Tone& tone : tones.tones) {
            if (std::abs(tone.hz - hz) > 0.2) continue;
            ++found;
            squares += (tone.hz - hz) * (tone.hz - hz);
            scaled += (tone.hz - hz) * (tone.hz - hz) / (tone.hz_sd * tone.hz_sd);
            break;
        }
    }
    std::printf("%5.0f dB-Hz  found %3d of %d  error/bound %.3f  sd of error/hz_sd %.3f\n", carrier_to_density_db_hz,
                found, trials, std::sqrt(squares / found) / bound_hz(carrier_to_density_db_hz),
                std::sqrt(scaled / found));
}

}  // namespace

int main(int argc, char** argv) {
    const int trials = trials_asked(argc, argv, 200);
    if (trials == 0) return 2;
    for (const double level : {45.0, 30.0, 15.0}) run(level, trials);
    return 0;
}
