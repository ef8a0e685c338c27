#include <catch2/catch.hpp>

#include "match/cases.h"
#include "support/names.h"

using namespace tattletone;
using namespace tattletone::cases;

namespace {

/// Two converters whose difference is audible: 500 kHz and 503.2 kHz from crystals.
Board converters() {
    return Board().rate("core.switching", 500000, 10).rate("io.switching", 503200, 10);
}

}  // namespace

TEST_CASE("a beat of two inaudible rates is both rates' doing") {
    const auto board = converters();
    const auto findings = diagnose(&board.sheet(), one_take({tone(3200.02), tone(6400.04, 8)}));
    INFO(reasons(findings, "core.switching"));
    CHECK(probability(findings, "core.switching") > 0.6);
    CHECK(probability(findings, "io.switching") > 0.6);
    CHECK(findings.verdict == Verdict::named);
    REQUIRE(findings.explained_by.count(1) == 1);
    int beats = 0;
    for (const Explanation& explanation : findings.explained_by.at(1)) beats += explanation.kind == LineKind::beat;
    CHECK(beats == 1);
    CHECK(findings.explained_by.at(1)[0].expected_hz == Approx(3200.0));
    for (const Suspect& suspect : findings.suspects) CHECK(suspect.tones == std::vector<int>{1, 2});
    // Ten ppm of 500 kHz and of 503.2 kHz are 10 Hz: 40 Hz off, it is no beat of theirs.
    const auto off = diagnose(&board.sheet(), one_take({tone(3290)}));
    CHECK(probability(off, "core.switching") < 0.1);
}

TEST_CASE("either rate takes its beat along when it is moved or stopped") {
    const auto board = converters();
    auto moved = take({tone(4200.02)});
    moved.changes.push_back({"io.switching", 504200});
    const auto moves = diagnose(&board.sheet(), unite({take({tone(3200.02)}), moved}, nullptr));
    const auto alone = diagnose(&board.sheet(), one_take({tone(3200.02)}));
    CHECK(probability(moves, "core.switching") > probability(alone, "core.switching") - 0.05);
    auto stopped = take({tone(3200.02)});
    stopped.changes.push_back({"io.switching", 0.0});
    const auto stays = diagnose(&board.sheet(), unite({take({tone(3200.02)}), stopped}, nullptr));
    INFO(reasons(stays, "core.switching"));
    CHECK(probability(stays, "core.switching") < 0.1);
    CHECK(probability(stays, "io.switching") < 0.1);
}
