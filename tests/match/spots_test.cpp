// Referee of MODEL.md 8.3.

#include <catch2/catch.hpp>

#include <cmath>

#include "match/cases.h"
#include "match/model/spots.h"
#include "support/names.h"

using namespace tattletone;
using namespace tattletone::cases;

namespace {

Take over(const std::string& spot, std::vector<Tone> tones) {
    Take made = take(std::move(tones));
    made.spot = spot;
    return made;
}

}  // namespace

TEST_CASE("a level's uncertainty is the Cramér-Rao bound of an amplitude") {
    // Kay I, 3.11: var(A) >= 2 sigma²/N. A = 1, sigma = 1, 48000 samples of 1 s: relative sd sqrt(2/48000) = 6.4550e-3,
    // 0.05607 dB. In dB: 0 dBFS is A = 1; density of white noise of variance 1 over 24 kHz against a full-scale sine's
    // power of 1/2: 10 lg(1 / 24000 / 0.5) = -40.7918.
    CHECK(level_sd_db(0.0, -40.7918, 1.0) == Approx(0.05607).epsilon(1e-3));
    CHECK(level_sd_db(-20.0, -40.7918, 100.0) == Approx(0.05607).epsilon(1e-3));
}

TEST_CASE("the loudest spot, and whether it means anything") {
    const auto unit = unite(
        {over("coil", {tone(4800, 32)}), over("lens", {tone(4800, 12)}), over("coil", {tone(4800, 30)})}, nullptr);
    const auto spots = compare_spots(unit, unit.tones[0], 4.0);
    REQUIRE(spots.levels.size() == 2);
    CHECK(spots.levels[0].spot == "coil");
    CHECK(spots.levels[0].level_dbfs == Approx(threshold_dbfs + 31.0));
    // Two takes halve the hand's variance: sqrt(16/2) and sqrt(16), and the noise's share is 0.02 dB or less.
    CHECK(spots.levels[0].level_sd_db == Approx(2.828).epsilon(0.01));
    CHECK(spots.levels[1].level_sd_db == Approx(4.0).epsilon(0.01));
    CHECK(spots.difference_db == Approx(19.0));
    CHECK(spots.difference_sd_db == Approx(std::sqrt(24.0)).epsilon(0.01));
    CHECK(spots.counts);
    const auto near = unite({over("coil", {tone(4800, 32)}), over("lens", {tone(4800, 27)})}, nullptr);
    CHECK(!compare_spots(near, near.tones[0], 4.0).counts);
    const auto one = unite({over("coil", {tone(4800, 32)}), take({tone(4800, 27)})}, nullptr);
    CHECK(compare_spots(one, one.tones[0], 4.0).levels.empty());
}

TEST_CASE("a part's spot counts, within a bound") {
    const auto comparison = [](double coil_over_lens_db) {
        const auto unit =
            unite({over("By the coil", {tone(4800, 40)}), over("lens", {tone(4800, 40 - coil_over_lens_db)})}, nullptr);
        return compare_spots(unit, unit.tones[0], 4.0);
    };
    // exp((6 d - 18) / 128): d = 20 dB gives 2.219, d = -20 dB 0.340, d = 3 dB 1.
    CHECK(spot_odds_factor("by the coil", comparison(20), fitted_parameters()) == Approx(2.219).epsilon(1e-3));
    CHECK(spot_odds_factor("by the coil", comparison(-20), fitted_parameters()) == Approx(0.3402).epsilon(1e-3));
    CHECK(spot_odds_factor("by the coil", comparison(3), fitted_parameters()) == Approx(1.0));
    CHECK(spot_odds_factor("by the coil", comparison(39), fitted_parameters()) == Approx(3.0));
    CHECK(spot_odds_factor("somewhere else", comparison(20), fitted_parameters()) == 1.0);

    auto board = Board().rate("a.frame", 4800, 50).rate("b.frame", 4800, 50);
    BoardSheet sheet = board.sheet();
    sheet.parts = {part("a", "A", "coil"), part("b", "B", "lens")};
    sheet.rates[0].part = 0;
    sheet.rates[1].part = 1;
    const auto findings =
        diagnose(&sheet, unite({over("coil", {tone(4800, 40)}), over("lens", {tone(4800, 20)})}, nullptr));
    const double a = probability(findings, "a.frame"), b = probability(findings, "b.frame");
    INFO(reasons(findings, "a.frame"));
    CHECK(a > b + 0.2);
    CHECK(b > 0.08);  // 2.219 / 0.340 = 6.5 to 1, and no more
    CHECK(reasons(findings, "a.frame").find("loudest over its own spot 'coil', which multiplies its odds by 2.2") !=
          std::string::npos);
    REQUIRE(findings.spots.count(1) == 1);
}
