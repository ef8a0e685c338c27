// The p of a rule that ends the draws early, against all that can happen, counted one by one: the true column's rank is
// any with the same chance, and so is the order of the columns drawn (randomisation, R. A. Fisher, The Design of
// Experiments, 1935).

#include <catch2/catch.hpp>

#include <bit>
#include <map>
#include <tuple>

#include "toggle/trial/draws.h"

using namespace tattletone;

namespace {

struct Outcome {
    double chance = 0.0, p = 0.0, next_p = 0.0;
};

double choices(int of, int some) {
    double count = 1.0;
    for (int i = 0; i < some; ++i) count = count * (of - i) / (i + 1);
    return count;
}

// By p, the smallest first.
std::map<double, Outcome> outcomes(int clear, int most, int enough_better) {
    std::map<double, Outcome> all;
    for (unsigned better = 0; better < 1u << most; ++better) {
        toggle::Draws draws(clear, most, enough_better);
        for (int i = 0; !draws.enough(); ++i) draws.count((better >> i & 1u) != 0);
        Outcome& outcome = all[draws.p()];
        outcome.p = draws.p();
        outcome.next_p = draws.next_p();
        outcome.chance += 1.0 / (most + 1) / choices(most, std::popcount(better));
    }
    return all;
}

}  // namespace

TEST_CASE("p is the chance of all outcomes that speak as much for the part, whatever ends the draws") {
    for (const auto& [clear, most, enough] : {std::tuple{3, 7, 3}, {4, 12, 3}, {5, 14, 4}, {12, 12, 5}, {2, 13, 13}}) {
        double chance = 0.0, before = 0.0;
        for (const auto& [p, outcome] : outcomes(clear, most, enough)) {
            CAPTURE(clear, most, enough, p);
            chance += outcome.chance;
            CHECK(p == Approx(chance).epsilon(1e-9));
            CHECK(outcome.next_p == Approx(before).margin(1e-12));
            before = p;
        }
        CHECK(chance == Approx(1.0).epsilon(1e-9));
    }
}

TEST_CASE("without an early end p is the rank of the true column") {
    toggle::Draws draws(99, 99, 1000);
    for (int i = 0; i < 99; ++i) draws.count(i % 20 == 7);
    CHECK(draws.enough());
    CHECK(draws.p() == Approx(6.0 / 100.0).epsilon(1e-12));
    CHECK(draws.next_p() == Approx(5.0 / 100.0).epsilon(1e-12));
}
