#include <catch2/catch.hpp>

#include "logbook/units/statistics.h"
#include "support/names.h"

#include <array>

using namespace tattletone;

namespace {
void check_interval(Interval found, double low, double high, double margin) {
    CHECK(found.low == Approx(low).margin(margin));
    CHECK(found.high == Approx(high).margin(margin));
}

// Sleep data of Student (1908), as R's manual page ?t.test uses them.
constexpr std::array group_1 = {0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0};
constexpr std::array group_2 = {1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4};
}  // namespace

// Wilson 1927; values of check-values.md 9.1 (computed there by two implementations).
TEST_CASE("Wilson's interval") {
    check_interval(wilson_interval(0, 10), 0.0, 0.27753, 5e-6);
    check_interval(wilson_interval(1, 10), 0.01788, 0.40415, 5e-6);
    check_interval(wilson_interval(3, 10), 0.10779, 0.60322, 5e-6);
    check_interval(wilson_interval(3, 20), 0.05237, 0.36042, 5e-6);
    check_interval(wilson_interval(7, 50), 0.06951, 0.26186, 5e-6);
    check_interval(wilson_interval(4, 5), 0.37553, 0.96378, 5e-6);
    check_interval(wilson_interval(5, 5), 0.56552, 1.0, 5e-6);
    check_interval(wilson_interval(0, 20), 0.0, 0.16113, 5e-6);
    check_interval(wilson_interval(10, 100), 0.05523, 0.17437, 5e-6);
    check_interval(wilson_interval(0, 0), 0.0, 1.0, 0.0);
}

// check-values.md 9.4 to 9.6: a library manual's example; Fisher's tea tasting (The Design of
// Experiments, 1935): 34/70 and 2/70 two-sided; small shop.
TEST_CASE("Fisher's exact test") {
    CHECK(fisher_exact(8, 2, 1, 5) == Approx(0.034965).margin(5e-7));
    CHECK(fisher_exact(3, 1, 1, 3) == Approx(34.0 / 70.0).epsilon(1e-12));
    CHECK(fisher_exact(4, 0, 0, 4) == Approx(2.0 / 70.0).epsilon(1e-12));
    CHECK(fisher_exact(6, 0, 1, 5) == Approx(0.015152).margin(5e-7));
    CHECK(fisher_exact(5, 0, 0, 5) == Approx(0.007937).margin(5e-7));
    CHECK(fisher_exact(7, 3, 2, 8) == Approx(0.069779).margin(5e-7));
    CHECK(fisher_exact(0, 5, 0, 5) == 1.0);
}

// check-values.md 9.7: two-sided binomial.
TEST_CASE("McNemar's exact test") {
    CHECK(mcnemar_exact(6, 0) == Approx(0.03125).epsilon(1e-12));
    CHECK(mcnemar_exact(0, 5) == Approx(0.0625).epsilon(1e-12));
    CHECK(mcnemar_exact(7, 1) == Approx(0.0703).margin(5e-5));
    CHECK(mcnemar_exact(8, 2) == Approx(0.1094).margin(5e-5));
    CHECK(mcnemar_exact(3, 3) == 1.0);
    CHECK(mcnemar_exact(0, 0) == 1.0);
}

// R manual, ?t.test (check-values.md 9.8 to 9.10).
TEST_CASE("Welch's and the paired t test") {
    const auto welch = welch_t(group_1, group_2);
    REQUIRE(welch);
    CHECK(welch->t == Approx(-1.860813).margin(5e-7));
    CHECK(welch->degrees == Approx(17.776474).margin(5e-7));
    CHECK(welch->p == Approx(0.0793941).margin(5e-8));
    check_interval(welch->interval, -3.3654832, 0.2054832, 5e-8);
    const auto paired = paired_t(group_1, group_2);
    REQUIRE(paired);
    CHECK(paired->t == Approx(-4.0621).margin(5e-5));
    CHECK(paired->degrees == 9.0);
    CHECK(paired->p == Approx(0.002833).margin(5e-7));
    const std::array before = {32.1, 30.4, 33.0, 31.2, 32.6}, after = {26.5, 27.9, 25.1, 29.0, 26.8};
    const auto whine = welch_t(before, after);
    REQUIRE(whine);
    CHECK(whine->mean == Approx(31.86 - 27.06).epsilon(1e-12));
    CHECK(whine->t == Approx(5.9165).margin(5e-5));
    CHECK(whine->degrees == Approx(7.2545).margin(5e-5));
    CHECK(whine->p == Approx(5.156e-4).margin(5e-8));
    CHECK(standard_deviation_of(before) == Approx(1.0574).margin(5e-5));
}

TEST_CASE("too few or equal values give no t test") {
    const std::array<double, 1> one = {1.0};
    const std::array<double, 2> two = {1.0, 1.0};
    CHECK_FALSE(welch_t(one, two));
    CHECK_FALSE(welch_t(two, two));
    CHECK_FALSE(paired_t(one, one));
    CHECK_FALSE(paired_t(two, two));
}
