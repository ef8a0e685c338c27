// Referee of DETECTION.md 13.

#include "tones/judge/mains.h"
#include "support/names.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <vector>

using namespace tattletone;

namespace {

Tone line(double hz, double hz_sd = 0.002) {
    Tone tone;
    tone.hz = tone.start_hz = tone.end_hz = hz;
    tone.hz_sd = hz_sd;
    tone.level_dbfs = -60.0;
    return tone;
}

std::vector<Tone> marked(std::vector<Tone> tones) {
    std::sort(tones.begin(), tones.end(), [](const Tone& a, const Tone& b) { return a.hz < b.hz; });
    mark_mains(tones);
    return tones;
}

Origin origin_at(const std::vector<Tone>& tones, double hz) {
    const auto at = std::min_element(tones.begin(), tones.end(), [hz](const Tone& a, const Tone& b) {
        return std::abs(a.hz - hz) < std::abs(b.hz - hz);
    });
    return at->origin;
}

}  // namespace

TEST_CASE("a family at 50.01 Hz is mains, a board's 1000.0 Hz beside it is not") {
    std::vector<Tone> tones{line(1000.0)};
    for (const int n : {1, 2, 3, 5, 7, 11, 20}) tones.push_back(line(50.01 * n));
    const auto result = marked(tones);
    for (const int n : {1, 2, 3, 5, 7, 11, 20}) {
        INFO("multiple " << n);
        CHECK(origin_at(result, 50.01 * n) == Origin::mains);
    }
    CHECK(origin_at(result, 1000.0) == Origin::board);
    const auto hum = std::find_if(result.begin(), result.end(), [](const Tone& t) { return t.hz == 50.01 * 3; });
    CHECK(hum->rejection == "multiple 3 of the mains at 50.010 Hz");
}

TEST_CASE("60 Hz too, anywhere within 0.2 Hz") {
    for (const double grid_hz : {49.81, 50.0, 50.19, 59.81, 59.98, 60.19}) {
        INFO(grid_hz << " Hz");
        const auto result = marked({line(2 * grid_hz), line(4 * grid_hz), line(6 * grid_hz), line(9600.0)});
        CHECK(origin_at(result, 2 * grid_hz) == Origin::mains);
        CHECK(origin_at(result, 4 * grid_hz) == Origin::mains);
        CHECK(origin_at(result, 6 * grid_hz) == Origin::mains);
        CHECK(origin_at(result, 9600.0) == Origin::board);
    }
    // Europe's largest steady deviation is 200 mHz (Regulation (EU) 2017/1485, Annex III); what is outside is something
    // else.
    CHECK(origin_at(marked({line(101.0), line(202.0)}), 101.0) == Origin::board);
}

TEST_CASE("a recording has one mains") {
    // A heater's 119.16 Hz is half of it no second grid at 59.58 Hz.
    const auto result =
        marked({line(119.16), line(238.32), line(60.014), line(120.028), line(180.042), line(240.056), line(50.02)});
    CHECK(origin_at(result, 60.014) == Origin::mains);
    CHECK(origin_at(result, 240.056) == Origin::mains);
    CHECK(origin_at(result, 119.16) == Origin::board);
    CHECK(origin_at(result, 238.32) == Origin::board);
    CHECK(origin_at(result, 50.02) == Origin::board);
}

TEST_CASE("a lone line is mains at the first few multiples only") {
    for (const double hz : {50.0, 60.0, 100.0, 120.0, 150.0, 200.0, 240.0})
        CHECK(origin_at(marked({line(hz)}), hz) == Origin::mains);
    for (const double hz : {250.0, 1000.0, 1200.0, 6000.0, 15000.0}) {
        INFO(hz << " Hz");
        CHECK(origin_at(marked({line(hz)}), hz) == Origin::board);
    }
}

TEST_CASE("a room's line stays the room's") {
    std::vector<Tone> tones{line(100.0), line(200.0)};
    tones[0].origin = Origin::room;
    mark_mains(tones);
    CHECK(tones[0].origin == Origin::room);
    CHECK(tones[1].origin == Origin::mains);
    std::vector<Tone> none;
    mark_mains(none);
    CHECK(none.empty());
}
