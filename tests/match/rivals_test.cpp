// What may sound beside the declared rates, in words. The frequencies are worked by hand.

#include <catch2/catch.hpp>

#include "cases.h"
#include "match/diagnose.h"
#include "tones/judge/mains.h"

using namespace tattletone;
using namespace tattletone::cases;
using Catch::Matchers::Contains;

namespace {

/// The first of its kind; a case fails where there is none.
Rival rival(const Findings& findings, RivalKind kind) {
    for (const Rival& one : findings.rivals)
        if (one.kind == kind) return one;
    std::string known;
    for (const Rival& one : findings.rivals) known += one.words + "\n";
    FAIL("no rival of that kind among:\n" << known);
    return {};
}

bool has(const Findings& findings, RivalKind kind) {
    return std::any_of(findings.rivals.begin(), findings.rivals.end(),
                       [&](const Rival& one) { return one.kind == kind; });
}

}  // namespace

TEST_CASE("multiples of the mains are told with the grid and how far they reach") {
    std::vector<Tone> tones;
    for (const int k : {2, 4, 6, 10, 20, 26, 34, 44, 50, 52, 56, 60, 84})
        tones.push_back(tone(50.003 * k, 20.0, Origin::board, 0.002));
    mark_mains(tones);
    const auto board = Board().rate("link.frame", 2500, 20000);
    const Rival mains = rival(diagnose(&board.sheet(), one_take(tones)), RivalKind::mains);
    CHECK(mains.words == "multiples of the mains at 50.003 Hz up to 4.2 kHz: a dimmed lamp, a rectifier or a supply");
    CHECK(mains.hz == Approx(50.003).margin(1e-6));
    CHECK(mains.hz_sd > 50e-6 * 50.003);  // the card's 50 ppm
    CHECK(mains.hz_sd < 100e-6 * 50.003);
    CHECK(mains.highest_hz == Approx(84 * 50.003));
    CHECK(mains.probability > 0.9);
    // Without a sheet nothing is weighed, and only the first 40 multiples are known as such.
    CHECK(rival(diagnose(nullptr, one_take(tones)), RivalKind::mains).highest_hz == Approx(34 * 50.003));
    // The hum that every room has is no rival.
    std::vector<Tone> hum;
    for (const int k : {2, 3, 5, 6}) hum.push_back(tone(50.003 * k, 20.0, Origin::board, 0.002));
    mark_mains(hum);
    CHECK(!has(diagnose(&board.sheet(), one_take(hum)), RivalKind::mains));
}

TEST_CASE("lines that wander together are a motor's or a fan's") {
    const auto board = Board().wandering("core.burst", 2000, 20000);
    const Rival motor =
        rival(diagnose(&board.sheet(), one_take({moving(2500.0, 0.004, 20.0), moving(5000.0, 0.004, 20.0)})),
              RivalKind::machine);
    CHECK(motor.words == "a pair of lines that wander together (2.5 and 5 kHz): a motor or a fan");
    CHECK(motor.tones.size() == 2);
    const Findings four =
        diagnose(&board.sheet(), one_take({moving(1310.0, 0.004, 20.0), moving(2620.0, 0.004, 20.0),
                                           moving(3930.0, 0.004, 20.0), moving(5240.0, 0.004, 20.0)}));
    CHECK(rival(four, RivalKind::machine).words == "4 lines that wander together (1.31 to 5.24 kHz): a motor or a fan");
    CHECK_THAT(reasons(four, "core.burst"), Contains("may be that of a motor or a fan"));
}

TEST_CASE("another crystal's comb is another device's, or a part's that the sheet does not have") {
    const auto board = Board().rate("lamp.pwm", 1100, 50);
    std::vector<Tone> tones;
    for (const int n : {1, 2, 3, 4, 5, 7}) tones.push_back(tone(907.31 * n, 15.0));
    const Rival device = rival(diagnose(&board.sheet(), one_take(tones)), RivalKind::device);
    CHECK_THAT(device.words, Contains("another clocked device") && Contains("6 lines at multiples of 907.3"));
    CHECK(device.probability > 0.9);
}

TEST_CASE("several families at once are held notes") {
    const auto board = Board().rate("lamp.pwm", 1100, 50);
    std::vector<Tone> tones;
    for (const double note : {261.626, 329.628, 391.995})  // C4, E4, G4 of equal temperament on A4 = 440 Hz (ISO 16)
        for (const int n : {1, 2, 3, 4, 5}) tones.push_back(tone(note * n * (1.0 + 2e-5 * n / note), 15.0));
    std::sort(tones.begin(), tones.end(), [](const Tone& a, const Tone& b) { return a.hz < b.hz; });
    const Rival notes = rival(diagnose(&board.sheet(), one_take(tones)), RivalKind::notes);
    CHECK_THAT(notes.words, Contains("held notes") && Contains("262") && Contains("392 Hz"));
}

TEST_CASE("a lone tone at a pitch that half the houses have is told as such") {
    const auto board = Board().rate("lamp.pwm", 1100, 50);
    CHECK(rival(diagnose(&board.sheet(), one_take({tone(15625.3)})), RivalKind::television).words ==
          "a television's line rate, 15 625 Hz");
    CHECK_THAT(rival(diagnose(&board.sheet(), one_take({tone(4096.1)})), RivalKind::notes).words,
               Contains("beeper at 4096 Hz"));
    CHECK(diagnose(&board.sheet(), one_take({tone(15640.0)})).rivals.empty());
    // Not where the board has it.
    const auto screen = Board().rate("screen.line", 15625, 50);
    const Findings declared = diagnose(&screen.sheet(), one_take({tone(15625.3, 25.0), tone(7812.65, 25.0)}));
    if (probability(declared, "screen.line") > 0.97) CHECK(!has(declared, RivalKind::television));
}

TEST_CASE("what stays although its rate was off is a twin's") {
    const auto board = Board().rate("lamp.pwm", 3906.25, 50);
    std::vector<Tone> tones;
    for (const int n : {1, 2, 3}) tones.push_back(tone(3906.3 * n, 20.0));
    Take with = take(tones), without = take(tones);
    without.changes.push_back({"lamp.pwm", 0.0});
    const Findings found = diagnose(&board.sheet(), unite({with, without}, nullptr));
    const Rival twin = rival(found, RivalKind::twin);
    CHECK(twin.rate == "lamp.pwm");
    CHECK(twin.words == "another part on the clock of lamp.pwm, or its switching off did not take effect");
}

TEST_CASE("lines at twice the mains from each other are a charger's") {
    const auto board = Board().wandering("core.burst", 2000, 30000);
    std::vector<Tone> tones;
    for (const int side : {-2, -1, 0, 1, 2}) tones.push_back(moving(12300.0 + 100.0 * side, 0.002, 20.0));
    const Rival charger = rival(diagnose(&board.sheet(), one_take(tones)), RivalKind::mains_fed);
    CHECK_THAT(charger.words, Contains("a converter fed from the mains") && Contains("12.1 to 12.5 kHz") &&
                                  Contains("with sides at 100 Hz"));
}

TEST_CASE("states that were not recorded are named, those first in which the suspect rests") {
    const auto board =
        Board().states({"sounding", "reading", "docked"}).rate("lamp.pwm", 3906.25, 50, Shape::pulse, {0, 1});
    std::vector<Tone> tones;
    for (const int n : {1, 2, 3}) tones.push_back(tone(3906.3 * n, 20.0));
    const Findings found = diagnose(&board.sheet(), unite({take(tones, "sounding")}, nullptr));
    CHECK(found.states_left == std::vector<std::string>{"docked", "reading"});
}
