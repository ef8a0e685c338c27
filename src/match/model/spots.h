#pragma once

#include <string>
#include <vector>

#include "match/model/parameters.h"
#include "tones/join/unit_tones.h"

namespace tattletone::match {

/// A tone's level over one spot: the mean of the takes made there.
struct SpotLevel {
    std::string spot;
    bool heard = false;
    double level_dbfs = 0.0;   ///< where heard
    double level_sd_db = 0.0;  ///< the noise's and the hand's: what a second take there would differ by
    double below_dbfs = 0.0;   ///< where not heard: the level above which it would have been
};

struct SpotComparison {
    std::vector<SpotLevel> levels;  ///< the loudest first, those without the tone last
    double difference_db = 0.0;     ///< loudest over the next; at least so much where the next is not heard
    double difference_sd_db = 0.0;
    bool counts = false;  ///< more than two standard deviations: the spot means something
};

/// Levels of one tone by spot; empty with fewer than two spots that can tell. `take_scatter_db`: one standard deviation
/// between takes at one spot, for the hand does not come back to the millimetre.
SpotComparison compare_spots(const tones::UnitTones& unit, const tones::UnitTone& tone, double take_scatter_db);

/// One standard deviation of a line's level from the noise alone, by the Cramér-Rao bound of an amplitude in white
/// noise: 20/ln 10 · sqrt(N / (2 S T)), with carrier S over density N and T seconds (S. M. Kay, Fundamentals of
/// Statistical Signal Processing I, 3.11).
double level_sd_db(double level_dbfs, double noise_dbfs_per_hz, double seconds);

/// What a part's declared spot does to the odds of its rates: exp((m d - m²/2) / sd²) with d the level over that spot
/// against the others' mean, m = `nearer_spot_db` the difference expected near the source and sd = `spot_scatter_db`·√2
/// between two spots, within `spot_factor_limit` either way, for a whole board sounds. 1 where no take was made over
/// that spot or none elsewhere.
double spot_odds_factor(const std::string& part_spot, const SpotComparison& comparison,
                        const MatchParameters& parameters);

/// Whether two names of spots are the same, whatever their case.
bool same_spot(const std::string& a, const std::string& b);

}  // namespace tattletone::match
