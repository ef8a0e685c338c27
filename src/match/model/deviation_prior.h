#pragma once

#include <string>

namespace tattletone::match {

/// Prior of a rate's position. A fixed rate: x is its relative deviation, normal with the declared tolerance as two
/// standard deviations and cut there, plus a little mass far outside. A wandering rate or an undeclared family: x =
/// ln(fundamental in Hz), uniform between two limits.
struct DeviationPrior {
    bool uniform = false;
    double low = 0.0, high = 0.0;  ///< uniform: limits of x
    double sd = 0.0;               ///< fixed: half the tolerance, relative
    double outside_mass = 0.0, outside_sd = 0.0;
    bool settings = false;  ///< outside are the wrong settings that occur; else a normal of `outside_sd` alone
    /// With probability `seen_mass` the true x was also measured elsewhere, without the card's error: Gaussian about
    /// `seen_x`.
    double seen_mass = 0.0, seen_x = 0.0, seen_sd = 1.0;
    double cut_sds = 2.0;  ///< MatchParameters::tolerance_sds
};

/// Density outside the tolerance, to be multiplied by `outside_mass`; the card's error is as nothing there.
double outside_density(const DeviationPrior& prior, double x, double sd);

/// In words ("a divider of 17 set to 16"); empty where none of the list is likelier than some large divider's.
std::string likeliest_wrong_setting(const DeviationPrior& prior, double x);

/// ∫ p(x - card_error) N(x; mean, sd) dx, in closed form. `card_error` is ignored where uniform.
double smeared_density(const DeviationPrior& prior, double mean, double sd, double card_error);

/// The same for one fixed rate at many card errors; the cut to 1e-5 of its height.
class SmearedPrior {
  public:
    SmearedPrior(const DeviationPrior& prior, double mean, double sd);
    double quick_density(double card_error) const;

  private:
    double mean_ = 0.0, cut_ = 0.0, pull_ = 0.0, width_ = 0.0, variance_ = 0.0, height_ = 0.0, outside_ = 0.0;
};

/// The part of it that keeps the declared tolerance, 0 to 1.
double share_inside(const DeviationPrior& prior, double mean, double sd, double card_error);

}  // namespace tattletone::match
