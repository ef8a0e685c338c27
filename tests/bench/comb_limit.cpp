// comb_limit [TRIALS]: the level of equal lines of one declared rate in white noise of 10 s at which it is named in
// half of the recordings, against the generalised likelihood-ratio test for the whole comb (false alarms 0.1 % a
// recording).

#include <cstdio>

#include "bench/bench_tone.h"
#include "bench/comb_rows.h"

int main(int argc, char** argv) {
    using namespace tattletone::scenes;
    const int trials = trials_asked(argc, argv, 40);
    if (trials == 0) return 2;
    Random random(15);
    std::printf("%-36s %14s %10s %8s\n", "comb, 10 s", "limit, dB-Hz", "program", "lost");
    for (const CombRow& row : comb_rows()) {
        const double limit = comb_limit_db_hz(row, bench_seconds, 0.001);
        const double half = half_named_db_hz(row, limit + 1.0, 1.0, trials, random);
        std::printf("%-36s %14.1f %10.1f %5.1f dB\n", row.name.c_str(), limit, half, half - limit);
        std::fflush(stdout);
    }
    return 0;
}
