#include "match/deviation_prior.h"

#include <algorithm>
#include <cmath>

#include "match/gauss.h"

namespace tattletone {
namespace {

constexpr double cut_sds = 2.0;

// A normal cut at ±2 sd, smeared by another normal: the product of the two is a third, of which the cut
// keeps a piece (completing the square).
double inside_density(double sd_prior, double offset, double sd) {
    const double variance = sd_prior * sd_prior + sd * sd;
    const double sd_both = std::sqrt(variance);
    if (std::abs(offset) > 40.0 * sd_both) return 0.0;
    const double middle = offset * sd_prior * sd_prior / variance;
    const double width = sd_prior * sd / sd_both;
    const double cut = cut_sds * sd_prior;
    const double kept = normal_below((cut - middle) / width) - normal_below((-cut - middle) / width);
    const double whole = normal_below(cut_sds) - normal_below(-cut_sds);
    return std::exp(log_normal_density(offset, 0.0, sd_both)) * kept / whole;
}

double outside_density(const DeviationPrior& prior, double offset, double sd) {
    return std::exp(log_normal_density(offset, 0.0, std::hypot(prior.outside_sd, sd)));
}

}  // namespace

double smeared_density(const DeviationPrior& prior, double mean, double sd, double card_error) {
    if (prior.uniform) {
        const double kept = normal_below((prior.high - mean) / sd) - normal_below((prior.low - mean) / sd);
        return std::max(kept, 0.0) / (prior.high - prior.low);
    }
    const double offset = mean - card_error;
    return (1.0 - prior.outside_mass) * inside_density(prior.sd, offset, sd) +
           prior.outside_mass * outside_density(prior, offset, sd);
}

double share_inside(const DeviationPrior& prior, double mean, double sd, double card_error) {
    if (prior.uniform) return 1.0;
    const double inside = (1.0 - prior.outside_mass) * inside_density(prior.sd, mean - card_error, sd);
    const double outside = prior.outside_mass * outside_density(prior, mean - card_error, sd);
    return inside + outside > 0.0 ? inside / (inside + outside) : 0.0;
}

}  // namespace tattletone
