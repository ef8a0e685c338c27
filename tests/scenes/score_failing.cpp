// What --fail-if-heard makes of quiet boards beside a neighbour and of boards that sing, by the rule and by how much of
// a tone declared rates must explain. Seeds as for score_scenes.

#include <algorithm>
#include <atomic>
#include <cstdio>
#include <cstdlib>
#include <functional>
#include <string>
#include <thread>
#include <vector>

#include "report/failing.h"
#include "scenes/neighbours.h"
#include "scenes/score.h"
#include "support/names.h"
#include "support/usage.h"

namespace {

using namespace tattletone;
using namespace tattletone::scenes;

constexpr const char* usage =
    "usage: score_failing [--units N] [--scenes N] [--seed S] [--threads N]\n"
    "  --units N    silent boards beside each of the nine neighbours (20), without and with a room recording\n"
    "  --scenes N   boards of each other kind (60): alone and quiet, singing, singing in one of several states\n"
    "  --seed S     seed of the first (1000000; below that seeds are for fitting)\n"
    "  --threads N  (1)\n";

constexpr double thresholds[] = {0.3, 0.5, 0.7, 0.8, 0.9, 0.95, 0.98};

struct Options {
    int units = 20, scenes = 60, threads = 1;
    std::uint64_t seed = first_checking_seed;
};

bool read(int argc, char** argv, Options& options) {
    for (int i = 1; i + 1 < argc; i += 2) {
        const std::string word = argv[i];
        if (word == "--units")
            options.units = std::atoi(argv[i + 1]);
        else if (word == "--scenes")
            options.scenes = std::atoi(argv[i + 1]);
        else if (word == "--seed")
            options.seed = std::strtoull(argv[i + 1], nullptr, 10);
        else if (word == "--threads")
            options.threads = std::atoi(argv[i + 1]);
        else
            return false;
    }
    return argc % 2 == 1 && options.units > 0 && options.scenes > 0 && options.threads > 0;
}

struct Verdicts {
    bool any_prominent = false;  ///< the rule before: a prominent tone that is not known as the room's or the mains'
    std::vector<bool> fails;     ///< by threshold
};

Verdicts verdicts_of(const Findings& findings) {
    Verdicts verdicts;
    for (const UnitTone& tone : findings.unit.tones)
        verdicts.any_prominent |= tone.tone.origin == Origin::board && tone.tone.prominent.value_or(false);
    for (const double from : thresholds) verdicts.fails.push_back(report::unit_verdict(findings, from).fails);
    return verdicts;
}

struct Row {
    std::string name;
    int count = 0;
    std::function<Findings(std::uint64_t seed, int index)> hear;
};

void print_row(const Row& row, const Options& options) {
    std::vector<Verdicts> verdicts(static_cast<std::size_t>(row.count));
    std::atomic<int> next{0};
    const auto work = [&] {
        for (int i = next++; i < row.count; i = next++)
            verdicts[static_cast<std::size_t>(i)] =
                verdicts_of(row.hear(options.seed + static_cast<std::uint64_t>(i), i));
    };
    {
        std::vector<std::jthread> others;
        for (int thread = 1; thread < options.threads; ++thread) others.emplace_back(work);
        work();
    }
    std::printf("%-34s %5d %7td", row.name.c_str(), row.count,
                std::count_if(verdicts.begin(), verdicts.end(), [](const Verdicts& v) { return v.any_prominent; }));
    for (std::size_t t = 0; t < std::size(thresholds); ++t)
        std::printf(" %6td",
                    std::count_if(verdicts.begin(), verdicts.end(), [&](const Verdicts& v) { return v.fails[t]; }));
    std::printf("\n");
    std::fflush(stdout);
}

}  // namespace

int main(int argc, char** argv) {
    const Options options = options_or_usage(argc, argv, read, usage);
    std::printf("boards failed                      of  before  now, where declared rates explain the tone with\n");
    std::printf("%-34s %5s %7s", "", "", "");
    for (const double from : thresholds) std::printf(" %6.2f", from);
    std::printf("\n");
    std::vector<Row> rows;
    for (const bool room : {false, true})
        for (const bool beside : {false, true})
            rows.push_back({std::string(beside ? "quiet, beside a crystal's comb" : "quiet, beside a neighbour") +
                                (room ? ", room" : ""),
                            options.units * (beside ? 1 : drawn_neighbours), [=](std::uint64_t seed, int i) {
                                NeighbourAssumptions assumptions;
                                assumptions.room = room;
                                assumptions.kind =
                                    beside ? Neighbour::beside : static_cast<Neighbour>(i % drawn_neighbours);
                                return examine(make_neighbour_scene(seed, assumptions).scene);
                            }});
    for (const SceneKind kind : {SceneKind::quiet, SceneKind::undeclared, SceneKind::culprit, SceneKind::states})
        rows.push_back({kind == SceneKind::quiet        ? "quiet, alone"
                        : kind == SceneKind::undeclared ? "whines at an undeclared rate"
                        : kind == SceneKind::culprit    ? "sings at a declared rate"
                                                        : "the same, in one of several states",
                        options.scenes, [=](std::uint64_t seed, int) {
                            Assumptions assumptions;
                            assumptions.kind = kind;
                            return examine(make_scene(seed, assumptions));
                        }});
    for (const Row& row : rows) print_row(row, options);
    return 0;
}
