// How often a silent board is accused of what sounds beside it. Seeds as for score_scenes.

#include <algorithm>
#include <atomic>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <map>
#include <string>
#include <thread>
#include <vector>

#include "report/words.h"
#include "scenes/neighbours.h"
#include "scenes/score.h"
#include "support/names.h"
#include "support/usage.h"

namespace {

using namespace tattletone;
using namespace tattletone::scenes;

constexpr const char* usage =
    "usage: score_neighbours [--units N] [--seed S] [--family NAME] [--room] [--far] [--list] …\n"
    "  --units N       how many of each family (20)\n"
    "  --seed S        seed of the first (1000000; below that seeds are for fitting)\n"
    "  --family NAME   only mains, fan, motor, charger, clocked, notes, television, oscillator, commotion,\n"
    "                  or beside, which is no part of the nine: a comb 0.3 to 5 % beside a crystal's rate\n"
    "  --room          with a recording of the room, the neighbour having moved as its kind does\n"
    "  --far           with a take from 60 cm\n"
    "  --twin          the neighbour may have exactly a declared rate (else kept 0.3 % off, as a fundamental)\n"
    "  --dry           without the room's reverberation\n"
    "  --list          what was said where a part was accused, and why\n"
    "  --told          with it: also where a tone was told as the board's and nobody accused\n"
    "  --explain       with it: the tones, and what was made of each\n"
    "  --threads N     (1)\n";

struct Options {
    int units = 20, threads = 1;
    std::uint64_t seed = first_checking_seed;
    bool list = false, told = false, explain = false;
    NeighbourAssumptions assumptions;
};

bool read(int argc, char** argv, Options& options) {
    for (int i = 1; i < argc; ++i) {
        const std::string word = argv[i];
        if (word == "--far") {
            options.assumptions.far = true;
        } else if (word == "--room") {
            options.assumptions.room = true;
        } else if (word == "--dry") {
            options.assumptions.dry = true;
        } else if (word == "--twin") {
            options.assumptions.may_have_a_declared_rate = true;
        } else if (word == "--list") {
            options.list = true;
        } else if (word == "--told") {
            options.list = options.told = true;
        } else if (word == "--explain") {
            options.list = options.explain = true;
        } else if (i + 1 == argc) {
            return false;
        } else if (word == "--units") {
            options.units = std::atoi(argv[++i]);
        } else if (word == "--threads") {
            options.threads = std::atoi(argv[++i]);
        } else if (word == "--seed") {
            options.seed = std::strtoull(argv[++i], nullptr, 10);
        } else if (word == "--family") {
            const std::string name = argv[++i];
            for (int kind = 0; kind <= drawn_neighbours; ++kind)
                if (name == name_of(static_cast<Neighbour>(kind)))
                    options.assumptions.kind = static_cast<Neighbour>(kind);
            if (!options.assumptions.kind) return false;
        } else {
            return false;
        }
    }
    return options.units > 0 && options.threads > 0;
}

struct Heard {
    std::uint64_t seed = 0;
    Neighbour kind = Neighbour::mains;
    double best = 0.0;        ///< probability of the likeliest declared rate
    bool of_board = false;    ///< the first sentence says that a tone is the board's
    bool fits = false;        ///< the strongest line could be that rate's by its tolerance
    std::string told, tones;  ///< for the list
};

bool says_of_the_board(const Findings& findings) {
    if (findings.verdict == Verdict::named) return true;
    const std::string sentence = report::answer_sentence(findings);
    return sentence.find("of the board") != std::string::npos && sentence.rfind("No tone", 0) != 0;
}

std::string told_of(const NeighbourScene& made, const Findings& findings) {
    std::string text = made.scene.story + "\n    " + report::answer_sentence(findings) + '\n';
    for (const Suspect& suspect : findings.suspects) {
        if (suspect.probability < 0.3) continue;
        const auto& rates = made.scene.sheet.rates;
        const auto rate =
            std::find_if(rates.begin(), rates.end(), [&](const Rate& each) { return each.full_name == suspect.rate; });
        char line[200];
        if (rate->wanders())
            std::snprintf(line, sizeof line, "    %s (%g..%g Hz) %.3f", suspect.rate.c_str(), rate->hz_min,
                          rate->hz_max, suspect.probability);
        else
            std::snprintf(line, sizeof line, "    %s (%.8g Hz ± %g ppm) %.3f%s", suspect.rate.c_str(), rate->hz,
                          rate->tolerance_ppm, suspect.probability, suspect.outside_tolerance ? " OUTSIDE" : "");
        text += line;
        for (const std::string& reason : suspect.reasons) text += "; " + reason;
        text += '\n';
    }
    return text;
}

Heard hear(std::uint64_t seed, const NeighbourAssumptions& assumptions) {
    const NeighbourScene made = make_neighbour_scene(seed, assumptions);
    const Findings findings = examine(made.scene);
    Heard heard;
    heard.seed = seed;
    heard.kind = made.kind;
    heard.of_board = says_of_the_board(findings);
    if (!findings.suspects.empty()) {
        heard.best = findings.suspects[0].probability;
        for (const int rate : rates_that_fit(made))
            if (made.scene.sheet.rates[static_cast<std::size_t>(rate)].full_name == findings.suspects[0].rate)
                heard.fits = true;
    }
    heard.told = told_of(made, findings);
    heard.tones = tones_text(findings);
    return heard;
}

void print_row(const char* name, const std::vector<const Heard*>& rows) {
    int half = 0, sure = 0, board = 0, fitting = 0;
    double sum = 0.0;
    for (const Heard* one : rows) {
        half += one->best >= 0.5;
        sure += one->best >= 0.95;
        board += one->of_board;
        fitting += one->best >= 0.5 && one->fits;
        sum += one->best;
    }
    const double n = static_cast<double>(std::max<std::size_t>(1, rows.size()));
    std::printf("%-11s %5zu   %6.3f   %6.3f   %6.3f   %6.3f   %4d of %d\n", name, rows.size(), half / n, sure / n,
                board / n, sum / n, fitting, half);
}

}  // namespace

int main(int argc, char** argv) {
    const Options options = options_or_usage(argc, argv, read, usage);
    std::vector<Neighbour> kinds;
    for (int kind = 0; kind < drawn_neighbours; ++kind) kinds.push_back(static_cast<Neighbour>(kind));
    if (options.assumptions.kind) kinds = {*options.assumptions.kind};

    const auto units = static_cast<std::size_t>(options.units);
    std::vector<Heard> heard(units * kinds.size());
    std::atomic<std::size_t> next{0};
    const auto work = [&] {
        for (std::size_t i = next++; i < heard.size(); i = next++) {
            NeighbourAssumptions assumptions = options.assumptions;
            assumptions.kind = kinds[i / units];
            heard[i] = hear(options.seed + i % units, assumptions);
        }
    };
    {
        std::vector<std::jthread> others;
        for (int thread = 1; thread < options.threads; ++thread) others.emplace_back(work);
        work();
    }

    if (options.list)
        for (const Heard& one : heard)
            if (one.best >= 0.5 || (options.told && one.of_board))
                std::printf("%s %llu: %s%s", name_of(one.kind), static_cast<unsigned long long>(one.seed),
                            one.told.c_str(), options.explain ? one.tones.c_str() : "");
    std::printf(
        "%d units a family from seed %llu (%s), %s room recording%s\n", options.units,
        static_cast<unsigned long long>(options.seed), options.seed < first_checking_seed ? "fitting" : "checking",
        options.assumptions.room ? "with the" : "without a", options.assumptions.far ? ", with a far take" : "");
    std::printf("%-11s %5s   %6s   %6s   %6s   %6s   %s\n", "family", "units", ">= 0.5", ">=0.95", "board", "mean",
                "accused whose rate fits the strongest line");
    std::map<int, std::vector<const Heard*>> by_kind;
    std::vector<const Heard*> all;
    for (const Heard& one : heard) {
        by_kind[static_cast<int>(one.kind)].push_back(&one);
        all.push_back(&one);
    }
    for (const auto& [kind, rows] : by_kind) print_row(name_of(static_cast<Neighbour>(kind)), rows);
    if (by_kind.size() > 1) print_row("all", all);
    return 0;
}
