// comb_alarms [RECORDINGS] [SECONDS] [KIND …]: in how many recordings without a board a declared rate is named by a
// comb of faint lines alone. Five rates as makers declare them, other ones for each recording; 1000 recordings of 4 s
// by default, seeds from 8 000 000. White, pink and brown noise; speech, music, typing and drops over pink noise.
// 'undeclared': in how many a comb that nobody declared is told, with the sheet and without.
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <thread>

#include "match/diagnose.h"
#include "support/boards.h"
#include "support/events.h"
#include "support/names.h"
#include "support/signals.h"
#include "tones/find_tones.h"

using namespace tattletone;
using namespace tattletone::scenes;

namespace {

constexpr double rate_hz = 48000.0;
constexpr const char* kinds[] = {"white", "pink", "brown", "speech", "music", "typing", "drops"};
constexpr std::size_t kind_count = std::size(kinds);
constexpr decltype(&add_speech) events[] = {add_speech, add_music, add_typing, add_drops};
constexpr std::size_t coloured = kind_count - std::size(events);
constexpr double thresholds[] = {0.02, 0.1, 0.5, 0.95};

Recording make(std::size_t kind, double seconds, Random& random) {
    Signal signal(static_cast<std::size_t>(seconds * rate_hz));
    double brown = 0.0, slow = 0.0, middle = 0.0, quick = 0.0;
    for (double& x : signal) {
        const double w = random.normal();
        brown = 0.9974 * brown + w;
        slow = 0.99765 * slow + 0.0990460 * w;  // P. Kellet's pink filter, from memory
        middle = 0.963 * middle + 0.2965164 * w;
        quick = 0.57 * quick + 1.0526913 * w;
        x = kind == 0 ? 0.01 * w : kind == 2 ? 0.0005 * brown : 0.003 * (slow + middle + quick + 0.1848 * w);
    }
    if (kind >= coloured) events[kind - coloured](signal, rate_hz, 0.05, random);
    Recording recording;
    recording.sample_rate_hz = rate_hz;
    recording.origin = kinds[kind];
    recording.samples = quantise_16_bit(signal);
    return recording;
}

/// The probability of the likeliest rate that is suspected by a comb alone.
double by_comb_alone(const Findings& findings, std::string& who) {
    double most = 0.0;
    for (const Suspect& suspect : findings.suspects) {
        const bool comb = std::all_of(suspect.tones.begin(), suspect.tones.end(), [&](int id) {
            return findings.unit.tones[static_cast<std::size_t>(id - 1)].tone.comb;
        });
        if (!comb || suspect.tones.empty() || suspect.probability <= most) continue;
        most = suspect.probability;
        who = suspect.rate + ": " + suspect.reasons[0];
    }
    return most;
}

}  // namespace

int main(int argc, char** argv) {
    const int count = argc > 1 ? std::atoi(argv[1]) : 1000;
    const double seconds = argc > 2 ? std::atof(argv[2]) : 4.0;
    std::vector<std::size_t> chosen;
    for (std::size_t kind = 0; kind < kind_count; ++kind)
        if (argc <= 3 ||
            std::any_of(argv + 3, argv + argc, [&](const char* word) { return word == std::string(kinds[kind]); }))
            chosen.push_back(kind);
    if (count < 1 || seconds < 1.0 || chosen.empty()) {
        std::fprintf(stderr, "usage: comb_alarms [RECORDINGS] [SECONDS] [KIND …]\n");
        return 2;
    }
    std::vector<std::vector<int>> over(std::size(thresholds), std::vector<int>(kind_count));
    std::vector<int> made(kind_count), undeclared(kind_count);
    for (int i = 0; i < count; ++i) {
        const std::size_t kind = chosen[static_cast<std::size_t>(i) % chosen.size()];
        Random random(8000000u + static_cast<std::uint64_t>(i));
        const DrawnBoard board = draw_board(5, random);
        std::vector<Take> takes(1);
        FindOptions options;
        options.threads = 1;
        takes[0].found = find_tones(make(kind, seconds, random), options);
        std::string who;
        const tones::UnitTones unit = unite(std::move(takes), nullptr);
        const Findings findings = diagnose(&board.sheet, unit);
        const double most = by_comb_alone(findings, who);
        ++made[kind];
        const Findings alone = diagnose(nullptr, unit);
        undeclared[kind] += !findings.undeclared.empty() || !alone.undeclared.empty();
        for (const Findings* told : {&findings, &alone})
            for (const UndeclaredComb& comb : told->undeclared)
                std::fprintf(stderr, "seed %d %s: undeclared %.2f Hz, %d lines, %zu of them tones, 10^%.1f\n",
                             8000000 + i, kinds[kind], comb.hz, comb.lines, comb.tones.size(), comb.log10_ratio);
        for (std::size_t t = 0; t < std::size(thresholds); ++t) over[t][kind] += most >= thresholds[t];
        if (most >= 0.1) std::fprintf(stderr, "seed %d %s: %.2f %s\n", 8000000 + i, kinds[kind], most, who.c_str());
    }
    std::printf("%-8s %10s", "sound", "recordings");
    for (const double threshold : thresholds) std::printf("  at %.2f", threshold);
    std::printf("  undeclared");
    for (const std::size_t kind : chosen) {
        std::printf("\n%-8s %10d", kinds[kind], made[kind]);
        for (std::size_t t = 0; t < std::size(thresholds); ++t) std::printf(" %8d", over[t][kind]);
        std::printf(" %11d", undeclared[kind]);
    }
    std::printf("\n");
    return 0;
}
