#include <catch2/catch.hpp>
#include <cmath>
#include <ctime>

#include "match/cases.h"

using namespace tattletone;
using namespace tattletone::cases;

namespace {

double processor_milliseconds() { return 1e3 * static_cast<double>(std::clock()) / CLOCKS_PER_SEC; }

/// Rates of every kind between 200 Hz and 16 kHz; tones: harmonics of two of them and strays in between.
double cost(int rates, int tones) {
    Board board;
    for (int i = 0; i < rates; ++i) {
        const std::string name = "r" + std::to_string(i);
        const double hz = 200.0 * std::pow(80.0, (i + 0.37) / rates);
        if (i % 8 == 7)
            board.wandering(name, hz, 4.0 * hz);
        else
            board.rate(name, hz, i % 4 == 3 ? 20000.0 : 50.0, static_cast<Shape>(i % 3));
    }
    const double first = board.sheet().rates[0].hz, second = board.sheet().rates[static_cast<std::size_t>(rates / 2)].hz;
    std::vector<Tone> list;
    for (int i = 0; i < tones; ++i) {
        const double stray = 90.0 * std::pow(200.0, (i + 0.5) / tones);
        const double hz = i % 3 == 0 ? first * (1 + i / 3) : i % 3 == 1 ? second * (1 + i / 3) : stray;
        list.push_back(tone(hz < 19000.0 ? hz : stray, 4.0 + i % 7 * 3.0));
    }
    const auto unit = one_take(list);
    double best = 1e9;
    for (int round = 0; round < 3; ++round) {
        const double start = processor_milliseconds();
        const auto findings = diagnose(&board.sheet(), unit);
        best = std::min(best, processor_milliseconds() - start);
        CHECK(probability(findings, "r0") > 0.5);
    }
    return best;
}

}  // namespace

TEST_CASE("a diagnosis keeps up with live listening") {
    // Twice a second, beside the tone finder: processor time, with room for slow machines.
    const double usual = cost(12, 20), large = cost(30, 60);
    WARN("12 rates and 20 tones: " << usual << " ms; 30 rates and 60 tones: " << large << " ms");
    CHECK(usual < 40.0);
    CHECK(large < 240.0);
}
