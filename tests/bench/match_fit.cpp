// Fits the match's parameters on simulated boards at tone level (fitting split only) by coordinate search
// on the log score, and prints the table.
//     match_fit [UNITS [ROUNDS]] > src/match/parameters_table.inc
#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>

#include "bench/match_score.h"

namespace {

using namespace tattletone;

double moved(const ParameterEntry& entry, double value, double step) {
    // Shares move on the logistic scale, everything else on a linear one.
    if (entry.low > 0.0 && entry.high < 1.0) {
        const double logit = std::log(value / (1.0 - value)) + 1.6 * step;
        return std::clamp(1.0 / (1.0 + std::exp(-logit)), entry.low, entry.high);
    }
    return std::clamp(value + 0.5 * step * (entry.high - entry.low), entry.low, entry.high);
}

void print_table(const MatchParameters& parameters, int units, int rounds, const bench::Score& before,
                 const bench::Score& after, const bench::Score& check) {
    std::printf("// Made by: match_fit %d %d > src/match/parameters_table.inc (tests/bench/match_fit.cpp)\n", units, rounds);
    std::printf("// starting from the table before it. Log score a unit on the fitting seeds %.4f before, %.4f after; on check seeds %.4f\n",
                before.log_score, after.log_score, check.log_score);
    std::printf("// (Brier %.4f, calibration error %.4f).\n", check.brier, check.calibration_error);
    for (const ParameterEntry& entry : parameter_entries())
        std::printf("TATTLETONE_PARAMETER(%s, %.4g)%s\n", entry.name, parameters.*entry.value,
                    entry.fitted ? "" : "  // assumed, not fitted");
}

}  // namespace

int main(int argc, char** argv) {
    const int count = argc > 1 ? std::atoi(argv[1]) : 1500;
    const int rounds = argc > 2 ? std::atoi(argv[2]) : 3;
    const auto units = bench::draw_units(1, count);
    MatchParameters best = fitted_parameters();
    const bench::Score before = bench::score_of(units, best);
    bench::Score now = before;
    double step = 0.4;
    for (int round = 0; round < rounds; ++round, step *= 0.5)
        for (const ParameterEntry& entry : parameter_entries()) {
            if (!entry.fitted) continue;
            for (const double direction : {1.0, -1.0}) {
                MatchParameters tried = best;
                tried.*entry.value = moved(entry, best.*entry.value, direction * step);
                if (tried.*entry.value == best.*entry.value) continue;
                const bench::Score score = bench::score_of(units, tried);
                if (score.log_score <= now.log_score) continue;
                best = tried;
                now = score;
                std::fprintf(stderr, "round %d %s %.4g: %.4f\n", round + 1, entry.name, best.*entry.value, now.log_score);
                break;
            }
        }
    const auto check = bench::draw_units(bench::first_check_seed, count);
    print_table(best, count, rounds, before, now, bench::score_of(check, best));
    return 0;
}
