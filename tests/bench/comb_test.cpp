// The comb search against the physical limit (MODEL.md 26), with wide margins for few recordings.

#include <catch2/catch.hpp>

#include "bench/bench_tone.h"
#include "bench/comb_rows.h"

using namespace tattletone;
using namespace tattletone::scenes;

TEST_CASE("a comb is named 4 dB over the limit and not 4 dB under it") {
    for (const std::size_t index : {std::size_t{1}, std::size_t{3}}) {
        const CombRow row = comb_rows()[index];
        INFO(row.name);
        const double limit = comb_limit_db_hz(row, bench_seconds, 0.001);
        Random random(4000 + index);
        CHECK(share_named(row, limit + 4.0, 4, random) >= 0.75);
        CHECK(share_named(row, limit - 4.0, 4, random) <= 0.25);
    }
}

TEST_CASE("a beacon of hundreds of lines is named, faint or strong") {
    for (const double hz : {1e3 / 102.4, 31.25}) {
        const CombRow row{"beacon", hz, 50.0, static_cast<int>(1000.0 / hz), static_cast<int>(7000.0 / hz), false};
        for (const double level_db_hz : {-8.0, 4.0, 14.0}) {
            INFO(hz << " Hz, " << level_db_hz << " dB-Hz a line");
            Random random(4100);
            CHECK(share_named(row, level_db_hz, 2, random) == 1.0);
        }
    }
}
