#include <catch2/catch.hpp>

#include <cstdio>

#include "scenes/detection_theory.h"
#include "scenes/score.h"
#include "support/names.h"

using namespace tattletone::scenes;

TEST_CASE("detection of a line by a periodogram") {
    // Without a line the threshold is exceeded in one bin with -ln(1 - rate)/bins; 240 000 bins together
    // give the rate back. With a strong line: always.
    CHECK(240000 * periodogram_detection(-300.0, 10.0, 48000.0, 0.001) == Approx(0.0010005).epsilon(1e-3));
    CHECK(periodogram_detection(10.0, 10.0, 48000.0, 0.001) > 0.9999);
    // scipy.stats.ncx2.sf(2*log(240000/-log1p(-0.001)), 2, 2*20) = 0.5763158 (SciPy 1.10)
    CHECK(periodogram_detection(10.0 * std::log10(2.0), 10.0, 48000.0, 0.001) == Approx(0.5763158).epsilon(1e-5));
}

TEST_CASE("simulated boards: who sings is named, the innocent are not accused") {
    const auto judged = judge_scenes(first_checking_seed, 150, {});
    const Score score = summarise(judged);
    std::string report = to_text(score);
    for (const Judged& one : judged)
        if (!one.complaint.empty()) report += "  " + std::to_string(one.seed) + ": " + one.complaint + "\n";
    std::printf("150 scenes from seed %llu\n%s", static_cast<unsigned long long>(first_checking_seed), report.c_str());
    std::fflush(stdout);

    CHECK(score.named.of >= 90);
    CHECK(score.false_accusations.of >= 25);
    CHECK(score.named.value() >= 0.90);  // a moving line without a room recording is a lead, not an accusation
    CHECK(score.listed_first.value() >= 0.95);
    CHECK(score.false_accusations.value() <= 0.03);  // one of the 44
    CHECK(score.brier <= 0.011);                     // 0.0076 when it was written
    CHECK(score.calibration_error <= 0.015);         // 0.0093
}
