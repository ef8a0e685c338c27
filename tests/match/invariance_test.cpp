#include <catch2/catch.hpp>

#include "match/cases.h"
#include "support/names.h"

using namespace tattletone;
using namespace tattletone::cases;

namespace {

std::vector<Tone> some_tones() {
    return {tone(976.57), tone(2929.7, 8), tone(9600.3), tone(5123.4), tone(8120), tone(16240, 5), tone(700)};
}

}  // namespace

TEST_CASE("the order of the rates does not matter") {
    const auto forward =
        Board().rate("a", 976.5625, 50).rate("b", 9600, 50).rate("c", 8192, 20000).rate("d", 1000, 500);
    const auto backward =
        Board().rate("d", 1000, 500).rate("c", 8192, 20000).rate("b", 9600, 50).rate("a", 976.5625, 50);
    const auto one = diagnose(&forward.sheet(), one_take(some_tones()));
    const auto two = diagnose(&backward.sheet(), one_take(some_tones()));
    for (const char* name : {"a", "b", "c", "d"})
        CHECK(probability(one, name) == Approx(probability(two, name)).margin(1e-3));
    CHECK(one.card_error_ppm == Approx(two.card_error_ppm).margin(0.05));
}

TEST_CASE("the order of the takes does not matter") {
    const auto board = Board().states({"x", "y"}).rate("a", 976.5625, 50, Shape::pulse, {0}).rate("b", 9600, 50);
    const auto x = take({tone(976.57), tone(9600.2)}, "x"), y = take({tone(9600.2), tone(4000)}, "y");
    const auto one = diagnose(&board.sheet(), unite({x, y}, nullptr));
    const auto two = diagnose(&board.sheet(), unite({y, x}, nullptr));
    for (const char* name : {"a", "b"}) CHECK(probability(one, name) == Approx(probability(two, name)).margin(1e-6));
}

TEST_CASE("a rate with no line in the band changes nothing") {
    const auto board = Board().rate("a", 976.5625, 50).rate("c", 8192, 20000);
    // 40 kHz: its images lie in the band only from twice the sample rate on, its half on 20 kHz exactly.
    const auto more = Board().rate("a", 976.5625, 50).rate("c", 8192, 20000).rate("silent", 5, 100, Shape::sine);
    const auto one = diagnose(&board.sheet(), one_take({tone(976.57), tone(8120)}));
    const auto two = diagnose(&more.sheet(), one_take({tone(976.57), tone(8120)}));
    CHECK(probability(one, "a") == Approx(probability(two, "a")).margin(1e-3));
    CHECK(probability(one, "c") == Approx(probability(two, "c")).margin(1e-3));
    CHECK(probability(two, "silent") < 0.01);
}

TEST_CASE("probabilities are probabilities") {
    Board board;
    for (int i = 0; i < 12; ++i) board.rate("r" + std::to_string(i), 500.0 * (i + 1), i % 3 == 0 ? 20000 : 50);
    std::vector<Tone> tones;
    for (int i = 1; i <= 20; ++i) tones.push_back(tone(500.01 * i));
    const auto findings = diagnose(&board.sheet(), one_take(tones));
    for (const Suspect& suspect : findings.suspects) {
        CHECK(suspect.probability >= 0.01);
        CHECK(suspect.probability <= 1.0);
        CHECK(!suspect.reasons.empty());
    }
    for (const auto& [id, list] : findings.explained_by) {
        double sum = 0.0;
        for (const auto& explanation : list) sum += explanation.probability;
        CHECK(sum <= 1.0 + 1e-9);
    }
    CHECK(probability(findings, "r0") > 0.95);
}
