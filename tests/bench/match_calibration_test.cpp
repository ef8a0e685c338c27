#include <catch2/catch.hpp>

#include "bench/match_score.h"
#include "support/names.h"

using namespace tattletone;

// The marks of the first check were 0.92 named first, 0.05 false accusations, Brier 0.03; what was measured is
// better and is held. At tone level, on seeds that no parameter was fitted on. What passing does not prove: that the
// tone finder finds such tones; the scenes in tests/scenes do that with sound. These boards have several times the
// stray tones of those scenes and of real rooms, for which the parameters are made: so 0.06 for false accusations.
TEST_CASE("probabilities hold on boards that no parameter was fitted on", "[slow]") {
    const auto score = bench::score_of(bench::draw_units(bench::first_check_seed, 1500), fitted_parameters());
    bench::print(score);
    CHECK(score.named_first >= 0.95);
    CHECK(score.false_accusations <= 0.07);   // 0.061, standard error 0.01
    CHECK(score.brier <= 0.015);              // 0.0118 when it was written
    CHECK(score.calibration_error <= 0.045);  // 0.0328
    const bench::Bin& sure = score.bins[9];
    CHECK(static_cast<double>(sure.guilty) / sure.count >= 0.97);
}
