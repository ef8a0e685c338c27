// How many experiments until the culprit has 0.95, as `next` ranks them, at random, and always the next state;
// and how often the culprit is named with one recording, with all states and with all spots.

#include <cstdio>
#include <cstdlib>
#include <string>

#include "scenes/courses.h"
#include "support/names.h"
#include "support/scene.h"

int main(int argc, char** argv) {
    using namespace tattletone::scenes;
    int units = 60;
    std::uint64_t seed = first_checking_seed;
    for (int i = 1; i < argc; ++i) {
        const std::string word = argv[i];
        if (word == "--units" && i + 1 < argc) {
            units = std::atoi(argv[++i]);
        } else if (word == "--seed" && i + 1 < argc) {
            seed = std::strtoull(argv[++i], nullptr, 10);
        } else {
            std::fprintf(stderr, "usage: score_next [--units N] [--seed S]\n");
            return 2;
        }
    }
    std::printf("%d ambiguous units from seed %llu\n", units, static_cast<unsigned long long>(seed));
    int single = 0, states = 0, spots = 0;
    for (int i = 0; i < units; ++i) {
        const AmbiguousUnit unit(seed + static_cast<std::uint64_t>(i));
        single += named_with(unit, once(unit));
        states += named_with(unit, each_state(unit));
        spots += named_with(unit, each_spot(unit));
    }
    std::printf("  culprit named first: %.3f with one recording, %.3f with all states, %.3f with all spots\n",
                static_cast<double>(single) / units, static_cast<double>(states) / units,
                static_cast<double>(spots) / units);
    std::fflush(stdout);
    for (const Policy policy : {Policy::next, Policy::random, Policy::states}) {
        const CourseScore score = score_courses(seed, units, policy);
        std::printf(
            "  %-15s culprit at 0.95 in %.3f, somebody else in %.3f; experiments: mean %.2f, median %.0f "
            "(unsolved as %d); minutes of the solved: %.1f\n",
            name_of(policy), static_cast<double>(score.solved) / units, static_cast<double>(score.wrong) / units,
            score.mean_experiments, score.median_experiments, most_experiments + 1, score.mean_minutes);
        std::fflush(stdout);
    }
    return 0;
}
