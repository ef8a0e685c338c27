#pragma once

namespace tattletone {

/// Prior of a rate's position. A fixed rate: x is its relative deviation, normal with the declared
/// tolerance as two standard deviations and cut there, plus a little mass far outside. A wandering
/// rate or an undeclared family: x = ln(fundamental in Hz), uniform between two limits.
struct DeviationPrior {
    bool uniform = false;
    double low = 0.0, high = 0.0;        ///< uniform: limits of x
    double sd = 0.0;                     ///< fixed: half the tolerance, relative
    double outside_mass = 0.0, outside_sd = 0.0;
};

/// ∫ p(x - card_error) N(x; mean, sd) dx, in closed form. `card_error` is ignored where uniform.
double smeared_density(const DeviationPrior& prior, double mean, double sd, double card_error);

/// The part of it that keeps the declared tolerance, 0 to 1.
double share_inside(const DeviationPrior& prior, double mean, double sd, double card_error);

}  // namespace tattletone
