// Referee of MODEL.md 19.

#include <catch2/catch.hpp>

#include "cases.h"
#include "match/diagnose.h"
#include "tones/judge/mains.h"

using namespace tattletone;
using namespace tattletone::cases;

namespace {

/// What a dimmer leaves: multiples of the grid, as the finder hands them on.
std::vector<Tone> dimmer(double grid_hz, const std::vector<int>& multiples) {
    std::vector<Tone> tones;
    for (const int k : multiples) tones.push_back(tone(k * grid_hz, 25.0 - 0.2 * k, Origin::board, 0.002));
    mark_mains(tones);
    return tones;
}

const std::vector<int> dimmed{2, 4, 6, 8, 10, 14, 20, 26, 34, 44, 48, 50, 52, 56, 60, 64, 72};

Origin origin_at(const Findings& findings, double hz) {
    for (const UnitTone& tone : findings.unit.tones)
        if (std::abs(tone.tone.hz - hz) < 0.05) return tone.tone.origin;
    FAIL("no tone at " << hz << " Hz");
    return Origin::board;
}

}  // namespace

TEST_CASE("multiples of the mains accuse nobody, however high") {
    // 2500.15 and 3000.18 Hz are 50 and 60 times 50.003 Hz and within these rates' tolerances.
    const auto board = Board().rate("link.frame", 2500, 20000).rate("lamp.pwm", 1000, 10000);
    const Findings found = diagnose(&board.sheet(), one_take(dimmer(50.003, dimmed)));
    CHECK(probability(found, "link.frame") < 0.1);
    CHECK(probability(found, "lamp.pwm") < 0.1);
    CHECK(found.verdict == Verdict::quiet);
    for (const int k : {44, 50, 72}) CHECK(origin_at(found, k * 50.003) == Origin::mains);
    for (const UnitTone& tone : found.unit.tones)
        if (tone.tone.hz > 2500.0 && tone.tone.hz < 2501.0)
            CHECK(tone.tone.rejection == "multiple 50 of the mains at 50.003 Hz");
}

TEST_CASE("a crystal's line among multiples of the mains is still the crystal's") {
    const auto board = Board().rate("link.frame", 3200, 30).rate("lamp.pwm", 1000, 10000);
    std::vector<Tone> tones = dimmer(50.003, dimmed);
    for (const int n : {1, 2, 3}) tones.push_back(tone(3200.04 * n, 15.0));
    const Findings found = diagnose(&board.sheet(), one_take(tones));
    CHECK(probability(found, "link.frame") > 0.95);
    CHECK(probability(found, "lamp.pwm") < 0.1);
    CHECK(origin_at(found, 3200.04) == Origin::board);
}

TEST_CASE("the grid moves between takes, and its multiples with it") {
    const UnitTones unit = unite({take(dimmer(50.003, dimmed), "idle"), take(dimmer(49.997, dimmed), "busy")}, nullptr);
    CHECK(unit.tones.size() == dimmed.size());
    for (const UnitTone& tone : unit.tones) {
        INFO(tone.tone.hz << " Hz");
        CHECK(tone.heard_in.size() == 2);
        CHECK((tone.heard_in[0].heard && tone.heard_in[1].heard));
    }
    const auto board = Board().states({"idle", "busy"}).rate("link.frame", 2500, 20000);
    CHECK(probability(diagnose(&board.sheet(), unit), "link.frame") < 0.1);
}

TEST_CASE("what moves as a motor does is less the converter's than a lone line in its range") {
    const auto board = Board().wandering("core.burst", 2000, 20000);
    const auto sure = [&](const std::vector<double>& hz) {
        std::vector<Tone> tones;
        for (const double one : hz) tones.push_back(moving(one, 0.004, 20.0));
        return probability(diagnose(&board.sheet(), one_take(tones)), "core.burst");
    };
    // A ladder that begins below the range is a motor's; within it nobody can tell.
    CHECK(sure({1310.0, 2620.0, 3930.0, 5240.0}) < 0.2);
    CHECK(sure({2620.0, 5240.0, 7860.0}) > 0.5);
    CHECK(sure({2620.0, 5240.0, 7860.0}) < 0.97);
}

TEST_CASE("what stays although its rate was off is a twin's, or the switching failed") {
    const auto board = Board().rate("lamp.dimming", 3200, 50).rate("link.frame", 9000, 30);
    const auto sure = [&](bool stays) {
        const std::vector<Tone> lines{tone(3200.05), tone(6400.1), tone(9600.15)};
        Take off = take(stays ? lines : std::vector<Tone>{});
        off.changes.push_back({"lamp.dimming", 0.0});
        return probability(diagnose(&board.sheet(), unite({take(lines), off}, nullptr)), "lamp.dimming");
    };
    CHECK(sure(true) < 0.1);
    CHECK(sure(false) > 0.95);
}

TEST_CASE("a comb half a per cent beside a crystal's rate is another device's") {
    const auto board = Board().rate("imager.row", 3200, 50);
    std::vector<Tone> tones;
    for (const int n : {1, 2, 3, 4, 5, 6}) tones.push_back(tone(3216.0 * n));
    const Findings found = diagnose(&board.sheet(), one_take(tones));
    CHECK(probability(found, "imager.row") < 0.2);
    CHECK(found.verdict == Verdict::unknown);
}

TEST_CASE("a line of the room that another take has met may have moved on to this one's") {
    const auto board = Board().states({"idle", "busy"}).wandering("core.burst", 3000, 20000);
    const Tones room = take({moving(7003.0, 0.004, 25.0)}).found, elsewhere = take({moving(1400.0, 0.004, 25.0)}).found;
    const auto sure = [&](const Tones* heard_in_room, double busy_hz) {
        std::vector<Take> takes{take({moving(7003.0, 0.004, 25.0)}, "idle"),
                                take({moving(busy_hz, 0.004, 25.0)}, "busy")};
        return probability(diagnose(&board.sheet(), unite(std::move(takes), heard_in_room)), "core.burst");
    };
    CHECK(sure(&room, 7115.0) < sure(&elsewhere, 7115.0) - 0.1);
}

TEST_CASE("sides at twice the mains tell a converter on the mains, those of the room's recording too") {
    const auto board = Board().wandering("core.burst", 3000, 20000);
    const auto sure = [&](double step_hz) {
        std::vector<Tone> tones{moving(12132.7, 0.0005, 15.0)};
        for (const int side : {1, 2, 3}) {
            tones.push_back(moving(12132.7 + side * step_hz, 0.0005, 15.0));
            tones.back().origin = Origin::room;
        }
        return probability(diagnose(&board.sheet(), one_take(tones)), "core.burst");
    };
    CHECK(sure(100.0) < 0.5 * sure(137.0));
}
