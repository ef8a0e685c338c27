// Prints how well calibrated the match is on simulated boards at tone level.
//     match_calibration [UNITS [FIRST_SEED]]       (2000 units of the check split)
#include <cstdlib>

#include "bench/match_score.h"
#include "support/names.h"

int main(int argc, char** argv) {
    using namespace tattletone;
    const int count = argc > 1 ? std::atoi(argv[1]) : 2000;
    const std::uint64_t first = argc > 2 ? std::strtoull(argv[2], nullptr, 10) : bench::first_check_seed;
    const auto units = bench::draw_units(first, count);
    bench::print(bench::score_of(units, fitted_parameters()));
    return 0;
}
