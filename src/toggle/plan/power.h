#pragma once

#include <optional>

#include "toggle/plan/plan.h"

namespace tattletone::toggle {

/// What a plan can find: nine times in ten, at p ≤ 0.001 with the search for start and pace and the correction for
/// parts and lines, of a steady line in even noise that keeps its phase from step to step.
struct Power {
    double hz = 4000.0;          ///< the frequency at which tone-to-noise ratios are meant
    double whole_from_db = 0.0;  ///< a tone that goes away altogether: from this tone-to-noise ratio on
};
/// `settle`: seconds of each step that do not count.
Power power_of(const Plan& plan, double settle_seconds);

/// The smallest change, in dB, of a tone of this tone-to-noise ratio (ECMA-418-1) while it is on; nothing where not
/// even its going away is found.
std::optional<double> smallest_change_db(const Plan& plan, double settle_seconds, double hz, double tone_to_noise_db);

}  // namespace tattletone::toggle
