// Whether the right rate is named, and nobody else, where the recording is clipped or the rate sounds in bursts.

#include <cstdio>
#include <cstdlib>
#include <string>

#include "scenes/damage/damage.h"
#include "support/usage.h"

namespace {

using namespace tattletone;
using namespace tattletone::scenes;

constexpr const char* usage =
    "usage: score_damage [--units N] [--seed S] [--damage NAME] [--list] [--threads N]\n"
    "  --units N       how many boards of each damage (20)\n"
    "  --seed S        seed of the first (1000000; below that seeds are for fitting)\n"
    "  --damage NAME   only those whose name begins so: loud, clipped, lasting, bursts\n"
    "  --list          what was said where the culprit was not named or an innocent accused\n"
    "  --threads N     (1)\n";

struct Options {
    int units = 20, threads = 1;
    std::uint64_t seed = first_checking_seed;
    bool list = false;
    std::string damage;
};

bool read(int argc, char** argv, Options& options) {
    for (int i = 1; i < argc; ++i) {
        const std::string word = argv[i];
        if (word == "--list")
            options.list = true;
        else if (i + 1 == argc)
            return false;
        else if (word == "--units")
            options.units = std::atoi(argv[++i]);
        else if (word == "--threads")
            options.threads = std::atoi(argv[++i]);
        else if (word == "--seed")
            options.seed = std::strtoull(argv[++i], nullptr, 10);
        else if (word == "--damage")
            options.damage = argv[++i];
        else
            return false;
    }
    return options.units > 0 && options.threads > 0;
}

}  // namespace

int main(int argc, char** argv) {
    const Options options = options_or_usage(argc, argv, read, usage);
    std::printf("%d boards each from seed %llu (%s)\n", options.units, static_cast<unsigned long long>(options.seed),
                options.seed < first_checking_seed ? "fitting" : "checking");
    std::printf("%-14s %7s %10s %10s %22s %8s\n", "", "named", "innocent", ">= 0.95", "named, and undeclared", "told");
    for (const Damage& damage : damages()) {
        if (damage.name.rfind(options.damage, 0) != 0) continue;
        const auto judged = judge_damages(options.seed, options.units, options.threads, damage);
        if (options.list)
            for (const DamageJudged& one : judged)
                if (!one.named || one.innocent >= 0.5)
                    std::printf("%llu: %s", static_cast<unsigned long long>(one.seed), one.told.c_str());
        const DamageScore score = summarise(judged);
        std::printf("%-14s %3d/%-3d %6d/%-3d %6d/%-3d %15d/%-6d %4d/%-3d\n", damage.name.c_str(), score.named.yes,
                    score.named.of, score.innocent.yes, score.innocent.of, score.sure_innocent.yes,
                    score.sure_innocent.of, score.undeclared.yes, score.undeclared.of, score.noticed.yes,
                    score.noticed.of);
        std::fflush(stdout);
    }
    return 0;
}
