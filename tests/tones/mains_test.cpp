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

TEST_CASE("60 Hz too, anywhere within the grid's one per cent") {
    for (const double grid_hz : {49.55, 50.0, 50.45, 59.45, 59.98, 60.55}) {
        INFO(grid_hz << " Hz");
        const auto result = marked({line(2 * grid_hz), line(4 * grid_hz), line(6 * grid_hz), line(9600.0)});
        CHECK(origin_at(result, 2 * grid_hz) == Origin::mains);
        CHECK(origin_at(result, 4 * grid_hz) == Origin::mains);
        CHECK(origin_at(result, 6 * grid_hz) == Origin::mains);
        CHECK(origin_at(result, 9600.0) == Origin::board);
    }
    // EN 50160: 99.5 % of a year within 1 %; what is outside is something else.
    CHECK(origin_at(marked({line(102.0), line(204.0)}), 102.0) == Origin::board);
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
