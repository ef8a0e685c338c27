#pragma once

#include <string>
#include <vector>

#include "support/names.h"
#include "support/random.h"

namespace tattletone::scenes {

/// Equal lines of one declared rate.
struct CombRow {
    std::string name;
    double hz = 0.0, tolerance_ppm = 0.0;
    int first = 1, last = 1;
    bool resistor =
        false;  ///< its deviation is uniform within the tolerance; else normal, the tolerance two deviations
    int lines() const { return last - first + 1; }
};
std::vector<CombRow> comb_rows();

/// Level of a line, dB-Hz, at which half of the recordings of `seconds` pass the generalised likelihood-ratio test for
/// the whole comb: the largest sum over all its lines of the periodogram among the deviations that its tolerance
/// allows.
double comb_limit_db_hz(const CombRow& row, double seconds, double false_alarm_rate);

/// Share of recordings of white noise with the comb at this level in which the rate is named.
double share_named(const CombRow& row, double level_db_hz, int trials, Random& random);

/// The level at which it is half, by steps of `step_db` about `near_db`.
double half_named_db_hz(const CombRow& row, double near_db, double step_db, int trials, Random& random);

}  // namespace tattletone::scenes
