// Referee of the wrong settings in MODEL.md 19.

#include <catch2/catch.hpp>

#include "cases.h"
#include "match/diagnose.h"
#include "match/model/deviation_prior.h"

using namespace tattletone;
using namespace tattletone::cases;

namespace {

match::DeviationPrior crystal() {
    match::DeviationPrior prior;
    prior.sd = 25e-6;
    prior.outside_mass = 0.001;
    prior.settings = true;
    return prior;
}

Findings lines_off_by(double x, double hz = 1000.0) {
    const auto board = Board().rate("clock.tick", hz, 50.0).rate("lamp.pwm", 7133.0, 50.0);
    std::vector<Tone> tones;
    for (const int n : {1, 2, 3, 4, 5, 7}) tones.push_back(tone(n * hz * (1.0 + x), 20.0 - n));
    return diagnose(&board.sheet(), one_take(tones));
}

}  // namespace

TEST_CASE("wrong settings: their shares are all there is outside a crystal's tolerance") {
    double sum = 0.0;
    constexpr double step = 2e-6;
    for (double x = -0.7; x < 0.7; x += step) sum += step * match::outside_density(crystal(), x, 1e-5);
    // Twice 1 ± 1/2 and the tails of large dividers stand beyond: nothing, at these widths.
    CHECK(sum == Approx(1.0).epsilon(2e-3));
}

TEST_CASE("wrong settings are told by name") {
    const auto words = [](double x) { return match::likeliest_wrong_setting(crystal(), x); };
    CHECK(words(16.0 / 17.0 - 1.0) == "a divider of 16 set to 17");
    CHECK(words(9.0 / 8.0 - 1.0) == "a divider of 9 set to 8");
    CHECK(words(44.1 / 48.0 - 1.0) == "44.1 kHz in place of 48 kHz");
    CHECK(words(-0.0025) == "a clock that is spread downwards by 0.5 %");
    CHECK(words(0.009) == "");
    match::DeviationPrior loose = crystal();
    loose.settings = false;
    CHECK(match::likeliest_wrong_setting(loose, -0.0025) == "");
}

TEST_CASE("wrong settings ask for a check and are never certain") {
    for (const double x : {-0.0025, -1.0 / 17.0, 1.0 / 8.0, 44.1 / 48.0 - 1.0, 0.001}) {
        const Findings found = lines_off_by(x);
        INFO(x << ": " << probability(found, "clock.tick"));
        CHECK(probability(found, "clock.tick") < 0.9);
        CHECK(probability(found, "lamp.pwm") < 0.05);
    }
    CHECK_THAT(reasons(lines_off_by(-0.0025), "clock.tick"),
               Catch::Contains("as with a clock that is spread downwards by 0.5 %"));
    // What no setting makes accuses nobody.
    for (const double x : {0.009, -0.0062, 0.0037}) CHECK(probability(lines_off_by(x), "clock.tick") < 0.1);
}
