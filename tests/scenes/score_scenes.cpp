// How often the culprit is named and the innocent accused, on simulated boards. Parameters are fitted on
// seeds below 1 000 000 and checked on those from there on, never the other way round.

#include <cstdio>
#include <cstdlib>
#include <string>

#include "scenes/score.h"
#include "support/names.h"
#include "support/usage.h"

namespace {

using namespace tattletone::scenes;

constexpr const char* usage =
    "usage: score_scenes [--scenes N] [--seed S] [--kind K] [--culprit C] [--far] [--json] [--list-errors]\n"
    "  --scenes N      how many (150)\n"
    "  --seed S        seed of the first (1000000; below that seeds are for fitting)\n"
    "  --kind K        only culprit, two-culprits, quiet, undeclared or states\n"
    "  --culprit C     only crystal, ceramic, RC or wandering culprits\n"
    "  --far           with a take from some 60 cm\n"
    "  --json          one object instead of a table\n"
    "  --list-errors   seed and story of each failure\n"
    "  --explain       with it: the true lines and what was made of each\n"
    "Assumptions of the simulator, to be bent one at a time:\n"
    "  --wander X --resonance-db X --card-ppm-sd X --card-ppm-mean X --deviation X --rates N --codec NAME\n"
    "  --automatic-gain --pair-ratio X (of two culprits' rates; with --kind two-culprits)\n"
    "  --hardship hand-held, phone, spread-clock, changing-duty, two-units or under-load\n";

struct Options {
    int scenes = 150;
    std::uint64_t seed = first_checking_seed;
    bool json = false, list_errors = false, explain = false;
    Assumptions assumptions;
};

template <class Enum>
bool choose(std::optional<Enum>& into, const std::string& word, int values) {
    for (int i = 0; i < values; ++i) {
        if (word != name_of(static_cast<Enum>(i))) continue;
        into = static_cast<Enum>(i);
        return true;
    }
    return false;
}

bool read(int argc, char** argv, Options& options) {
    Assumptions& a = options.assumptions;
    for (int i = 1; i < argc; ++i) {
        const std::string word = argv[i];
        if (word == "--json") {
            options.json = true;
            continue;
        }
        if (word == "--list-errors") {
            options.list_errors = true;
            continue;
        }
        if (word == "--explain") {
            options.list_errors = options.explain = true;
            continue;
        }
        if (word == "--far") {
            a.far = true;
            continue;
        }
        if (word == "--automatic-gain") {
            a.automatic_gain = true;
            continue;
        }
        if (i + 1 >= argc) return false;
        const std::string value = argv[++i];
        const double number = std::strtod(value.c_str(), nullptr);
        if (word == "--scenes")
            options.scenes = static_cast<int>(number);
        else if (word == "--seed")
            options.seed = std::strtoull(value.c_str(), nullptr, 10);
        else if (word == "--kind") {
            if (!choose(a.kind, value, 5)) return false;
        } else if (word == "--culprit") {
            if (!choose(a.culprit, value, 4)) return false;
        } else if (word == "--hardship") {
            std::optional<Hardship> hardship;
            if (!choose(hardship, value, hardships)) return false;
            a.hardship = *hardship;
        } else if (word == "--wander")
            a.wander_scale = number;
        else if (word == "--resonance-db")
            a.resonance_sd_db = number;
        else if (word == "--card-ppm-sd")
            a.card_ppm_sd = number;
        else if (word == "--card-ppm-mean")
            a.card_ppm_mean = number;
        else if (word == "--deviation")
            a.deviation_scale = number;
        else if (word == "--rates")
            a.fewest_rates = a.most_rates = static_cast<int>(number);
        else if (word == "--codec")
            a.codec = value;
        else if (word == "--pair-ratio")
            a.pair_ratio = number;
        else
            return false;
    }
    return options.scenes > 0;
}

}  // namespace

int main(int argc, char** argv) {
    const Options options = tattletone::options_or_usage(argc, argv, read, usage);
    const std::vector<Judged> judged = judge_scenes(options.seed, options.scenes, options.assumptions);
    if (options.list_errors)
        for (const Judged& one : judged)
            if (!one.complaint.empty())
                std::printf("%llu: %s\n%s", static_cast<unsigned long long>(one.seed), one.complaint.c_str(),
                            options.explain ? one.details.c_str() : "");
    const Score score = summarise(judged);
    if (options.json) {
        std::fputs(to_json(score).c_str(), stdout);
    } else {
        std::printf("%d scenes from seed %llu (%s)\n%s", options.scenes, static_cast<unsigned long long>(options.seed),
                    options.seed < first_checking_seed ? "fitting" : "checking", to_text(score).c_str());
    }
    return 0;
}
