// Referee of DETECTION.md 15.

#include <catch2/catch.hpp>

#include "match/cases.h"
#include "support/names.h"

using namespace tattletone;
using namespace tattletone::cases;

TEST_CASE("one line in two takes is one tone, from the take that knows it best") {
    const auto unit = unite(
        {take({tone(9600.000, 20, Origin::board, 0.02), tone(500)}), take({tone(9600.010, 12, Origin::board, 0.004)})},
        nullptr);
    REQUIRE(unit.tones.size() == 2);
    CHECK(unit.tones[0].id == 1);
    CHECK(unit.tones[1].id == 2);
    CHECK(unit.tones[1].tone.hz == Approx(9600.010).epsilon(1e-12));
    REQUIRE(unit.tones[1].heard_in.size() == 2);
    CHECK(unit.tones[1].heard_in[0].heard);
    CHECK(unit.tones[1].heard_in[0].level_dbfs == Approx(threshold_dbfs + 20));
    REQUIRE(unit.tones[0].heard_in.size() == 2);
    CHECK(!unit.tones[0].heard_in[1].heard);
    CHECK(unit.tones[0].heard_in[1].below_dbfs == Approx(threshold_dbfs));
}

TEST_CASE("two lines that differ stay two, and the nearest pairs first") {
    const auto unit = unite({take({tone(9600.0), tone(9600.5)}), take({tone(9600.49), tone(9601.2)})}, nullptr);
    REQUIRE(unit.tones.size() == 3);
    CHECK(unit.tones[1].heard_in[0].heard);
    CHECK(unit.tones[1].heard_in[1].heard);
}

TEST_CASE("a wandering line meets itself again where the paths touch") {
    const auto unit = unite({take({moving(15000, -0.04)}), take({moving(14500, -0.02)})}, nullptr);
    CHECK(unit.tones.size() == 1);
    CHECK(unite({take({moving(15000, -0.01)}), take({moving(13000, -0.01)})}, nullptr).tones.size() == 2);
    const auto absent = unite({take({moving(15000, -0.04)}), take({})}, nullptr);
    CHECK(absent.tones[0].heard_in[1].below_dbfs == Approx(threshold_dbfs + 4));
}

TEST_CASE("a source that moved on is told by one take, whichever of its lines show that they move") {
    // A low multiple that moves by less than the first take resolves, and a high one by less than the second does.
    const auto known_well = [](Tone path) {
        path.hz_sd = 0.01;
        return path;
    };
    const auto unit =
        unite({take({tone(9239.40, 20, Origin::board, 0.01), known_well(moving(13858.76, 1e-4))}),
               take({known_well(moving(9239.40 * 0.9999, 1e-4)), tone(13858.76 * 0.9999, 20, Origin::board, 0.004)})},
              nullptr);
    REQUIRE(unit.tones.size() == 2);
    CHECK(unit.tones[1].tone.hz / unit.tones[0].tone.hz == Approx(13858.76 / 9239.40).epsilon(1e-12));
    for (const UnitTone& tone : unit.tones) {
        CHECK(!tone.tone.steady);
        CHECK(tone.tone.wander_hz > 0.99 * 0.3 * 1e-4 * tone.tone.hz);
    }
}

TEST_CASE("a take says nothing outside its band") {
    const auto unit = unite({take({tone(15000)}), take({}, "", {40, 8000})}, nullptr);
    REQUIRE(unit.tones.size() == 1);
    REQUIRE(unit.tones[0].heard_in.size() == 1);
    CHECK(unit.tones[0].heard_in[0].take == 0);
}

TEST_CASE("lines of the room recording are the room's, unless far louder with the board on") {
    const auto room = take({tone(1000, 10), tone(3000, 10)}).found;
    const auto unit = unite({take({tone(1000.001, 14), tone(2000, 10), tone(3000.001, 30)})}, &room);
    REQUIRE(unit.tones.size() == 3);
    CHECK(unit.tones[0].tone.origin == Origin::room);
    CHECK(!unit.tones[0].tone.rejection.empty());
    CHECK(unit.tones[1].tone.origin == Origin::board);
    CHECK(unit.tones[2].tone.origin == Origin::unsure);
}

TEST_CASE("a fan keeps no frequency between takes, a crystal does") {
    const Tones room = take({tone(373.76, 10, Origin::unsure, 0.01), tone(1000.60)}).found;
    const auto unit = unite({take({tone(374.10, 10, Origin::unsure, 0.02), tone(1000.00)})}, &room);
    REQUIRE(unit.tones.size() == 2);
    CHECK(unit.tones[0].tone.origin == Origin::room);
    CHECK(unit.tones[1].tone.origin == Origin::board);
    // The mains of two takes is one line.
    const auto hum = unite(
        {take({tone(100.0157, 20, Origin::mains, 0.001)}), take({tone(100.0199, 20, Origin::mains, 0.001)})}, nullptr);
    CHECK(hum.tones.size() == 1);
}

TEST_CASE("no takes, no tones") {
    CHECK(unite({}, nullptr).tones.empty());
}

TEST_CASE("what moves in the room has moved on by the time the board is recorded") {
    Tones room;
    for (const int n : {1, 2, 3, 5}) room.tones.push_back(moving(700.0 * n, 0.003));
    std::vector<Tone> heard;
    for (const int n : {1, 2, 3, 5}) heard.push_back(moving(714.0 * n, 0.003));
    heard.push_back(moving(2650.0, 0.003));  // the board's
    const UnitTones unit = unite({take(heard)}, &room);
    REQUIRE(unit.tones.size() == 5);
    for (const UnitTone& tone : unit.tones) {
        INFO(tone.tone.hz << " Hz");
        CHECK(tone.tone.origin == (tone.tone.hz == 2650.0 ? Origin::board : Origin::room));
    }
    CHECK(unit.tones[0].tone.rejection == "also in the room recording, 2.0 % lower there");
    // A crystal's line keeps its frequency: one that stands 2 % off is another.
    Tones still;
    still.tones.push_back(tone(9000.0));
    CHECK(unite({take({tone(9180.0)})}, &still).tones[0].tone.origin == Origin::board);
}
