#include <catch2/catch.hpp>

#include "match/cases.h"
#include "match/model/parameters.h"
#include "support/names.h"

using namespace tattletone;
using namespace tattletone::cases;

// MODEL.md 9.1.
TEST_CASE("a crystal's fundamental in its place names the rate") {
    const auto board = Board().rate("ranger.frame", 9600, 50).rate("lamp.dimming", 976.5625, 50);
    const auto findings = diagnose(&board.sheet(), one_take({tone(9600.2)}));
    INFO(reasons(findings, "ranger.frame"));
    CHECK(probability(findings, "ranger.frame") > 0.9);
    CHECK(probability(findings, "lamp.dimming") < 0.05);
    CHECK(findings.verdict == Verdict::named);
    REQUIRE(findings.explained_by.count(1) == 1);
    CHECK(findings.explained_by.at(1)[0].rate == "ranger.frame");
    CHECK(findings.explained_by.at(1)[0].offset_hz == Approx(0.2));
}

TEST_CASE("no sheet, no tones: nobody and quiet") {
    CHECK(diagnose(nullptr, one_take({})).verdict == Verdict::quiet);
    const auto board = Board().rate("ranger.frame", 9600, 50);
    const auto quiet = diagnose(&board.sheet(), one_take({}));
    CHECK(quiet.verdict == Verdict::quiet);
    CHECK(quiet.suspects.empty());
    const auto unknown = diagnose(nullptr, one_take({tone(9600)}));
    CHECK(unknown.verdict == Verdict::unknown);
    CHECK(unknown.undeclared_probability == Approx(1.0));
}

// MODEL.md 5 and 6.2.
TEST_CASE("a lone tone in a wide window is no proof") {
    for (const double hz : {8050.0, 8192.0, 8300.0}) {
        const auto board = Board().rate("pump.drive", 8192, 30000, Shape::square);
        const auto findings = diagnose(&board.sheet(), one_take({tone(hz)}));
        INFO(reasons(findings, "pump.drive"));
        // Worth what the window is wide: the same tone in a crystal's window is another matter.
        CHECK(probability(findings, "pump.drive") < 0.75);
        CHECK(probability(findings, "pump.drive") > 0.02);
        const auto tight = Board().rate("pump.drive", hz, 50, Shape::square);
        const double sure = probability(diagnose(&tight.sheet(), one_take({tone(hz)})), "pump.drive");
        CHECK(1.0 - sure < 0.1 * (1.0 - probability(findings, "pump.drive")));
        CHECK(reasons(findings, "pump.drive").find("catches a stray tone easily") != std::string::npos);
    }
}

// MODEL.md 9.1: the product of Gaussians.
TEST_CASE("three harmonics of a wide window that agree on one deviation are strong evidence") {
    const double f = 3400 * 1.012;
    const auto board = Board().rate("pump.drive", 3400, 30000, Shape::square);
    const auto agree = diagnose(&board.sheet(), one_take({tone(f), tone(3 * f), tone(5 * f)}));
    INFO(reasons(agree, "pump.drive"));
    CHECK(probability(agree, "pump.drive") > 0.9);
    CHECK(reasons(agree, "pump.drive")
              .find("3 lines (1st, 3rd and 5th harmonic) agree on one deviation of +1.2 %, "
                    "inside the declared 3 %") != std::string::npos);
    // Each inside its window, but on three different deviations.
    const auto stray = diagnose(&board.sheet(), one_take({tone(f), tone(3 * f * 1.008), tone(5 * f * 0.991)}));
    CHECK(probability(stray, "pump.drive") < 0.6);
}

TEST_CASE("a third harmonic off its place is not the rate's") {
    const auto board = Board().rate("ranger.frame", 4800, 50);
    const auto findings = diagnose(&board.sheet(), one_take({tone(4800), tone(14400 * 1.0004)}));
    CHECK(probability(findings, "ranger.frame") > 0.8);
    CHECK((!findings.explained_by.count(2) || findings.explained_by.at(2)[0].probability < 0.05));
    CHECK(findings.undeclared_probability > 0.9);
}

// MODEL.md 12.1 and 12.2.
TEST_CASE("two rates that have one line in common share it") {
    const auto board = Board().rate("a.frame", 4800, 50).rate("b.frame", 4800, 50);
    const auto findings = diagnose(&board.sheet(), one_take({tone(4800), tone(9600)}));
    CHECK(probability(findings, "a.frame") == Approx(probability(findings, "b.frame")).margin(1e-9));
    CHECK(probability(findings, "a.frame") > 0.4);
    double sum = 0.0;
    for (const auto& explanation : findings.explained_by.at(1)) sum += explanation.probability;
    CHECK(sum > 0.9);
    CHECK(sum <= 1.0 + 1e-9);
    CHECK(reasons(findings, "a.frame").find("b.frame explains the same tone") != std::string::npos);
    // A second harmonic decides between a rate and its double.
    const auto octave = Board().rate("low.frame", 2400, 50).rate("high.frame", 4800, 50);
    const auto decided = diagnose(&octave.sheet(), one_take({tone(2400), tone(4800), tone(7200)}));
    CHECK(probability(decided, "low.frame") > 0.95);
    CHECK(probability(decided, "high.frame") < 0.2);
    const auto other = diagnose(&octave.sheet(), one_take({tone(4800), tone(9600), tone(14400)}));
    CHECK(probability(other, "high.frame") > 0.9);
}

// MODEL.md 6.3.
TEST_CASE("the sound card's error is one for all tight rates") {
    const auto board = Board().rate("a.tick", 1000, 10).rate("b.frame", 4321, 10);
    const auto same = diagnose(&board.sheet(), one_take({tone(1000 * (1 + 80e-6)), tone(4321 * (1 + 80e-6))}));
    INFO(reasons(same, "a.tick"));
    CHECK(probability(same, "a.tick") > 0.8);
    CHECK(probability(same, "b.frame") > 0.8);
    CHECK(same.card_error_ppm == Approx(80).margin(5));
    CHECK(same.card_error_ppm_sd < 6);
    CHECK(reasons(same, "a.tick").find("pinned to") != std::string::npos);
    const auto torn = diagnose(&board.sheet(), one_take({tone(1000 * (1 + 80e-6)), tone(4321 * (1 - 80e-6))}));
    CHECK(std::min(probability(torn, "a.tick"), probability(torn, "b.frame")) < 0.3);
    CHECK(probability(torn, "a.tick") + probability(torn, "b.frame") < 1.2);
}

// MODEL.md 6.1: the mass outside.
TEST_CASE("a rate whose setting is not in effect is told as such") {
    const double f = 2400 * 1.02;
    const auto board = Board().rate("lamp.dimming", 2400, 50);
    const auto findings = diagnose(&board.sheet(), one_take({tone(f), tone(2 * f), tone(3 * f)}));
    CHECK(probability(findings, "lamp.dimming") > 0.01);
    CHECK(probability(findings, "lamp.dimming") < 0.9);
    CHECK(reasons(findings, "lamp.dimming").find("fit only at +2 %: outside the declared 50 ppm") != std::string::npos);
}

// MODEL.md 8.1.
TEST_CASE("states are evidence in both directions") {
    const auto board = Board()
                           .states({"idle", "ranging"})
                           .rate("a.frame", 4800, 50, Shape::pulse, {1})
                           .rate("b.frame", 4800, 50, Shape::pulse, {0});
    const auto only = [&](const std::string& state, const std::string& other) {
        return diagnose(&board.sheet(), unite({take({tone(4800)}, state), take({}, other)}, nullptr));
    };
    const auto ranging = only("ranging", "idle");
    INFO(reasons(ranging, "a.frame"));
    CHECK(probability(ranging, "a.frame") > 0.9);
    CHECK(probability(ranging, "b.frame") < 0.05);
    CHECK(reasons(ranging, "a.frame").find("heard in 'ranging', where it runs, and not in 'idle', where it does not") !=
          std::string::npos);
    const auto idle = only("idle", "ranging");
    CHECK(probability(idle, "b.frame") > 0.9);
    CHECK(probability(idle, "a.frame") < 0.05);
    // Only heard where it does not run, in a single take.
    const auto alone = Board().states({"idle", "ranging"}).rate("a.frame", 4800, 50, Shape::pulse, {1});
    const auto wrong = diagnose(&alone.sheet(), unite({take({tone(4800)}, "idle")}, nullptr));
    const auto right = diagnose(&alone.sheet(), unite({take({tone(4800)}, "ranging")}, nullptr));
    CHECK(probability(wrong, "a.frame") < probability(right, "a.frame") - 0.25);
    CHECK(probability(right, "a.frame") > 0.9);
    CHECK(reasons(wrong, "a.frame").find("heard in 'idle', where the sheet says that it does not run") !=
          std::string::npos);
    // Runs in both and is missing in one, where it would have been found.
    const auto both = Board().states({"idle", "ranging"}).rate("a.frame", 4800, 30000);
    const auto in_one = diagnose(&both.sheet(), unite({take({tone(4800, 30)}, "idle"), take({}, "ranging")}, nullptr));
    const auto in_two =
        diagnose(&both.sheet(), unite({take({tone(4800, 30)}, "idle"), take({tone(4800, 30)}, "ranging")}, nullptr));
    CHECK(probability(in_one, "a.frame") < probability(in_two, "a.frame"));
}

// MODEL.md 7.
TEST_CASE("a wandering family is the converter's, a wandering tone no crystal's") {
    const auto board = Board().wandering("regulator.burst", 2000, 40000).rate("ranger.frame", 5000, 50);
    UnitTones heard = one_take({moving(5000, -0.06), moving(10000, -0.06), moving(15000, -0.06)});
    // A motor in the room may do so too: that it is none its recording tells.
    CHECK(probability(diagnose(&board.sheet(), heard), "regulator.burst") > 0.5);
    heard.room_given = true;
    const auto family = diagnose(&board.sheet(), heard);
    INFO(reasons(family, "regulator.burst"));
    CHECK(probability(family, "regulator.burst") > 0.8);
    CHECK(probability(family, "ranger.frame") < 0.1);
    CHECK(reasons(family, "regulator.burst").find("wander along one path") != std::string::npos);
    const auto lone = diagnose(&board.sheet(), one_take({moving(5000, -0.06)}));
    CHECK(probability(lone, "ranger.frame") < 0.1);
    CHECK(probability(lone, "regulator.burst") > 0.01);
    CHECK(probability(lone, "regulator.burst") < 0.5);
    // Paths that go different ways are not one source's.
    const auto apart =
        diagnose(&board.sheet(), one_take({moving(5000, -0.06), moving(10000, 0.05), moving(15000, 0.01)}));
    CHECK(probability(apart, "regulator.burst") < probability(family, "regulator.burst"));
}

// MODEL.md 3.2.
TEST_CASE("a sine drive may be heard at 2f alone") {
    const auto board = Board().rate("valve.hold", 2604.17, 100, Shape::sine).rate("other.frame", 3111, 50);
    const auto findings = diagnose(&board.sheet(), one_take({tone(5208.34)}));
    CHECK(probability(findings, "valve.hold") > 0.7);
    CHECK(findings.explained_by.at(1)[0].order == 2);
}

// MODEL.md 5.1.
TEST_CASE("tones of the room and of the mains accuse nobody") {
    const auto board = Board().rate("bus.frame", 1000, 500).rate("fan.tick", 100, 100);
    const auto findings =
        diagnose(&board.sheet(), one_take({tone(1000, 20, Origin::room), tone(100, 20, Origin::mains)}));
    CHECK(findings.suspects.empty());
    CHECK(findings.verdict == Verdict::quiet);
    const auto unsure = diagnose(&board.sheet(), one_take({tone(1000, 20, Origin::unsure)}));
    const auto sure = diagnose(&board.sheet(), one_take({tone(1000, 20, Origin::board)}));
    CHECK(probability(unsure, "bus.frame") < 0.4);
    CHECK(probability(sure, "bus.frame") > probability(unsure, "bus.frame") + 0.2);
}

// MODEL.md 4.4.
TEST_CASE("a line hidden by the room's is not held against a rate") {
    const auto board = Board().rate("bus.frame", 1000, 500);
    const auto hidden = diagnose(&board.sheet(), one_take({tone(1000, 20, Origin::room), tone(3000, 25)}));
    const auto missing = diagnose(&board.sheet(), one_take({tone(3000, 25)}));
    CHECK(probability(hidden, "bus.frame") > probability(missing, "bus.frame"));
}

// MODEL.md 4.3 and 8.2.
TEST_CASE("the more lines are missing, the less likely the rate") {
    // Loud 7th harmonic alone, with the 1st to 6th far above the threshold if they were there.
    const auto board = Board().rate("lamp.dimming", 976.5625, 50);
    const auto seventh = diagnose(&board.sheet(), one_take({tone(7 * 976.5625, 30)}));
    const auto first = diagnose(&board.sheet(), one_take({tone(976.5625, 30)}));
    INFO(reasons(seventh, "lamp.dimming"));
    CHECK(probability(seventh, "lamp.dimming") < 0.6 * probability(first, "lamp.dimming"));
    const auto third = diagnose(&board.sheet(), one_take({tone(3 * 976.5625, 25)}));
    CHECK(probability(third, "lamp.dimming") < probability(first, "lamp.dimming"));
    CHECK(reasons(third, "lamp.dimming").find("missing") != std::string::npos);
    // Below the usable band nothing can be missing.
    const auto narrow = diagnose(&board.sheet(), unite({take({tone(7 * 976.5625, 30)}, "", {6500, 20000})}, nullptr));
    CHECK(probability(narrow, "lamp.dimming") > probability(seventh, "lamp.dimming"));
}

namespace {

std::vector<Tone> in_band(double hz) {
    std::vector<Tone> tones;
    for (int n = 1; n <= 3 && n * hz < 20000.0; ++n) tones.push_back(tone(n * hz, 14 - 2 * n));
    return tones;
}

}  // namespace

TEST_CASE("rates of open standards") {
    struct Case {
        const char* name;
        double hz, ppm, heard_hz;
    };
    // USB 2.0 section 7.1.12: frame 1.000 ms ± 500 ns, microframe 125.0 µs ± 62.5 ns. Bluetooth Core
    // Specification: connection interval n · 1.25 ms (n = 6: 133.33 Hz), sleep clock ± 500 ppm. ITU-R
    // BT.1700: 4.5 MHz / 286 lines a second. 3GPP TS 45.002: TDMA frame 60/13 ms.
    const Case known[] = {{"usb.frame", 1000, 500, 1000.4},
                          {"usb.microframe", 8000, 500, 7997.0},
                          {"ble.interval", 1000.0 / 7.5, 500, 133.35},
                          {"video.line", 4.5e6 / 286, 60, 15734.9},
                          {"gsm.frame", 13000.0 / 60, 50, 216.664}};
    for (const Case& rate : known) {
        Board board;
        for (const Case& each : known) board.rate(each.name, each.hz, each.ppm);
        const auto findings = diagnose(&board.sheet(), one_take(in_band(rate.heard_hz)));
        INFO(rate.name << "\n" << reasons(findings, rate.name));
        CHECK(probability(findings, rate.name) > 0.9);
        for (const Case& other : known)
            if (other.hz != rate.hz) CHECK(probability(findings, other.name) < 0.35);
    }
}
