#include <catch2/catch.hpp>

#include "match/cases.h"
#include "support/names.h"

using namespace tattletone;
using namespace tattletone::cases;

namespace {

Tone drifting(double hz, double ppm, double sd_ppm = 4.0) {
    Tone line = tone(hz);
    line.drift_hz = 1e-6 * ppm * hz;
    line.drift_hz_sd = 1e-6 * sd_ppm * hz;
    return line;
}

Findings ask(const Board& board, std::vector<Tone> tones) {
    std::vector<Take> takes;
    takes.push_back(take(std::move(tones)));
    return diagnose(&board.sheet(), unite(std::move(takes), nullptr));
}

}  // namespace

// Common practice: a crystal keeps its frequency to a part in a million over some seconds, a resistor and
// a capacitor drift by tens to hundreds, a converter that follows its load by thousands.
TEST_CASE("a steady line's drift speaks for a resistor and a capacitor, its standing still against") {
    const auto board = Board().rate("pump.drive", 8192, 20000);
    const double not_told = probability(ask(board, {tone(8250.0)}), "pump.drive");
    const double still = probability(ask(board, {drifting(8250.0, 0.5)}), "pump.drive");
    const double drifts = probability(ask(board, {drifting(8250.0, 60.0)}), "pump.drive");
    CHECK(still < not_told);
    CHECK(drifts > not_told);
    // Where the drift is known to worse than it can be, it says nothing either way.
    CHECK(probability(ask(board, {drifting(8250.0, 0.0, 2000.0)}), "pump.drive") == Approx(not_told).margin(0.05));
}

TEST_CASE("a drift is no crystal's") {
    const auto board = Board().rate("ranger.frame", 9600, 50);
    const double still = probability(ask(board, {drifting(9600.1, 0.5)}), "ranger.frame");
    const double drifts = probability(ask(board, {drifting(9600.1, 300.0)}), "ranger.frame");
    CHECK(still > 0.99);
    CHECK(1.0 - drifts > 20.0 * (1.0 - still));
}

TEST_CASE("harmonics that drift alike are one oscillator's") {
    const auto board = Board().rate("pump.drive", 4100, 20000);
    const auto alike = ask(board, {drifting(4150.0, 60.0), drifting(8300.0, 60.0)});
    const auto apart = ask(board, {drifting(4150.0, 60.0), drifting(8300.0, -60.0)});
    CHECK(probability(alike, "pump.drive") > probability(apart, "pump.drive"));
}

TEST_CASE("how far a line moves tells a timer from a converter that follows its load") {
    const auto board = Board().rate("gauge.sample", 6660, 50000).wandering("boost.skip", 4000, 30000);
    const auto calm = ask(board, {moving(13500.0, 2e-4, 30.0)});
    const auto free = ask(board, {moving(13500.0, 2e-2, 30.0)});
    const auto share = [](const Findings& found) {
        const double gauge = probability(found, "gauge.sample"), boost = probability(found, "boost.skip");
        return gauge / (gauge + boost);
    };
    CHECK(share(calm) > 0.5);
    CHECK(share(free) < 0.1);
}

TEST_CASE("the reasons say how a line drifts, where that is known") {
    const auto board = Board().rate("pump.drive", 8192, 20000).rate("ranger.frame", 9600, 50);
    CHECK(reasons(ask(board, {drifting(8250.0, 60.0)}), "pump.drive").find("drifts by +60 ppm") != std::string::npos);
    CHECK(reasons(ask(board, {drifting(8250.0, 0.5)}), "pump.drive").find("keeps its frequency to 8 ppm") !=
          std::string::npos);
    CHECK(reasons(ask(board, {drifting(9600.1, -90.0)}), "ranger.frame")
              .find("which a crystal or a resonator seldom does") != std::string::npos);
    CHECK(reasons(ask(board, {drifting(8250.0, 60.0, 50.0)}), "pump.drive").find("drift") == std::string::npos);
}
