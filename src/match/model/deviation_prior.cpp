#include "match/model/deviation_prior.h"

#include <algorithm>
#include <cmath>

#include "match/model/gauss.h"

namespace tattletone::match {
namespace {

// A normal cut at ±cut_sds, smeared by another normal: the product of the two is a third, of which the cut keeps a
// piece (completing the square).
double inside_density(double sd_prior, double cut_sds, double offset, double sd) {
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
    if (prior.seen_mass > 0.0) {
        DeviationPrior unseen = prior;
        unseen.seen_mass = 0.0;
        const double offset = mean - (prior.uniform ? 0.0 : card_error);
        const double alone = smeared_density(unseen, mean, sd, card_error);
        const double both = std::hypot(sd, prior.seen_sd);
        const double likely = smeared_density(unseen, prior.seen_x, prior.seen_sd, 0.0);
        if (!(likely > 0.0) || std::abs(offset - prior.seen_x) > 40.0 * both) return (1.0 - prior.seen_mass) * alone;
        // The product of the two Gaussians is a third, smeared over the prior.
        const double part = sd * sd / (both * both);
        const double middle = offset + part * (prior.seen_x - offset);
        const double agreeing = std::exp(log_normal_density(offset, prior.seen_x, both)) *
                                smeared_density(unseen, middle, sd * prior.seen_sd / both, 0.0) / likely;
        return (1.0 - prior.seen_mass) * alone + prior.seen_mass * agreeing;
    }
    if (prior.uniform) {
        const double kept = normal_below((prior.high - mean) / sd) - normal_below((prior.low - mean) / sd);
        return std::max(kept, 0.0) / (prior.high - prior.low);
    }
    const double offset = mean - card_error;
    return (1.0 - prior.outside_mass) * inside_density(prior.sd, prior.cut_sds, offset, sd) +
           prior.outside_mass * outside_density(prior, offset, sd);
}

double share_inside(const DeviationPrior& prior, double mean, double sd, double card_error) {
    if (prior.uniform) return 1.0;
    const double inside = (1.0 - prior.outside_mass) * inside_density(prior.sd, prior.cut_sds, mean - card_error, sd);
    const double outside = prior.outside_mass * outside_density(prior, mean - card_error, sd);
    return inside + outside > 0.0 ? inside / (inside + outside) : 0.0;
}

SmearedPrior::SmearedPrior(const DeviationPrior& prior, double mean, double sd)
    : mean_(mean),
      cut_(prior.cut_sds * prior.sd),
      variance_(prior.sd * prior.sd + sd * sd),
      outside_variance_(prior.outside_sd * prior.outside_sd + sd * sd) {
    pull_ = prior.sd * prior.sd / variance_;
    width_ = prior.sd * sd / std::sqrt(variance_);
    const double whole = normal_below(prior.cut_sds) - normal_below(-prior.cut_sds);
    height_ = (1.0 - prior.outside_mass) / whole * std::exp(-log_root_two_pi) / std::sqrt(variance_);
    outside_height_ = prior.outside_mass * std::exp(-log_root_two_pi) / std::sqrt(outside_variance_);
}

double SmearedPrior::quick_density(double card_error) const {
    const double offset = mean_ - card_error;
    const double middle = pull_ * offset;
    const double kept = quick_normal_below((cut_ - middle) / width_) - quick_normal_below((-cut_ - middle) / width_);
    const double square = offset * offset;
    return height_ * std::exp(-0.5 * square / variance_) * kept +
           outside_height_ * std::exp(-0.5 * square / outside_variance_);
}

}  // namespace tattletone::match
