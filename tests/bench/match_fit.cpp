// Fits the match's parameters by coordinate search on the log score, on the fitting split only, and prints
// the table.
//     match_fit UNITS ROUNDS scenes > table && mv table src/match/model/parameters_table.inc
// `scenes`: units of the audio simulator as the tone finder hears them, from seed 1 on.
// `boards`: units drawn at tone level, which are quicker and kinder.
#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <cstring>

#include "bench/match_score.h"
#include "bench/scene_units.h"
#include "support/names.h"

namespace {

using namespace tattletone;

double moved(const ParameterEntry& entry, double value, double step) {
    // Shares move on the logistic scale, densities on a logarithmic one, everything else on a linear one.
    if (entry.value == &MatchParameters::background_per_octave)
        return std::clamp(value * std::exp(3.0 * step), entry.low, entry.high);
    if (entry.low > 0.0 && entry.high < 1.0) {
        const double logit = std::log(value / (1.0 - value)) + 1.6 * step;
        return std::clamp(1.0 / (1.0 + std::exp(-logit)), entry.low, entry.high);
    }
    return std::clamp(value + 0.5 * step * (entry.high - entry.low), entry.low, entry.high);
}

void print_table(const MatchParameters& parameters, int units, int rounds, const char* source,
                 const bench::Score& before, const bench::Score& after, const bench::Score& check) {
    std::printf("// Made by: match_fit %d %d %s (tests/bench/match_fit.cpp),\n", units, rounds, source);
    std::printf(
        "// starting from the table before it. Log score a unit on the fitting seeds %.4f before, %.4f after; on units "
        "drawn at tone level, check seeds, %.4f\n",
        before.log_score, after.log_score, check.log_score);
    std::printf("// (Brier %.4f, calibration error %.4f).\n", check.brier, check.calibration_error);
    for (const ParameterEntry& entry : parameter_entries())
        std::printf("TATTLETONE_PARAMETER(%s, %.4g)%s\n", entry.name, parameters.*entry.value,
                    entry.fitted ? "" : "  // assumed, not fitted");
}

}  // namespace

int main(int argc, char** argv) {
    const int count = argc > 1 ? std::atoi(argv[1]) : 1000;
    const int rounds = argc > 2 ? std::atoi(argv[2]) : 3;
    const bool scenes = argc <= 3 || std::strcmp(argv[3], "scenes") == 0;
    const auto units = scenes ? bench::hear_units(1, count) : bench::draw_units(1, count);
    MatchParameters best = fitted_parameters();
    const bench::Score before = bench::score_of(units, best);
    std::fprintf(stderr, "before: %.4f\n", before.log_score);
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
                std::fprintf(stderr, "round %d %s %.4g: %.4f\n", round + 1, entry.name, best.*entry.value,
                             now.log_score);
                break;
            }
        }
    const auto check = bench::draw_units(bench::first_check_seed, count);
    print_table(best, count, rounds, scenes ? "scenes" : "boards", before, now, bench::score_of(check, best));
    return 0;
}
