#pragma once

namespace tattletone::match {

/// Prior of a rate's position. A fixed rate: x is its relative deviation, normal with the declared tolerance as two
/// standard deviations and cut there, plus a little mass far outside. A wandering rate or an undeclared family: x =
/// ln(fundamental in Hz), uniform between two limits.
struct DeviationPrior {
    bool uniform = false;
    double low = 0.0, high = 0.0;  ///< uniform: limits of x
    double sd = 0.0;               ///< fixed: half the tolerance, relative
    double outside_mass = 0.0, outside_sd = 0.0;
    /// With probability `seen_mass` the true x was also measured elsewhere, without the card's error: Gaussian about
    /// `seen_x`.
    double seen_mass = 0.0, seen_x = 0.0, seen_sd = 1.0;
    double cut_sds = 2.0;  ///< MatchParameters::tolerance_sds
};

/// ∫ p(x - card_error) N(x; mean, sd) dx, in closed form. `card_error` is ignored where uniform.
double smeared_density(const DeviationPrior& prior, double mean, double sd, double card_error);

/// The same for one fixed rate at many card errors; the cut to 1e-5 of its height.
class SmearedPrior {
  public:
    SmearedPrior(const DeviationPrior& prior, double mean, double sd);
    double quick_density(double card_error) const;

  private:
    double mean_ = 0.0, cut_ = 0.0, pull_ = 0.0, width_ = 0.0, variance_ = 0.0, height_ = 0.0;
    double outside_variance_ = 0.0, outside_height_ = 0.0;
};

/// The part of it that keeps the declared tolerance, 0 to 1.
double share_inside(const DeviationPrior& prior, double mean, double sd, double card_error);

}  // namespace tattletone::match
