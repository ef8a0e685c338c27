#include "match/model/deviation_prior.h"

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "match/model/gauss.h"
#include "match/model/source.h"

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

struct WrongSetting {
    double x = 0.0, share = 0.0;
    std::string words;
};

constexpr double settings_sd = 1e-4;  // such a crystal's tolerance and a sound card's error
constexpr double large_divider_sd = 0.005, large_divider_share = 0.03;

// Common practice, the shares assumed; MODEL.md 6.1.
std::vector<WrongSetting> wrong_settings() {
    constexpr int small_dividers = 64;
    constexpr double off_by_one_share = 0.42;
    std::vector<WrongSetting> settings;
    double sum = 0.0;
    for (int n = 2; n <= small_dividers; ++n) sum += 2.0 / n;
    for (int n = 2; n <= small_dividers; ++n)
        for (const int sign : {-1, 1})
            settings.push_back({static_cast<double>(sign) / n, off_by_one_share / (n * sum),
                                "a divider of " + std::to_string(n + sign) + " set to " + std::to_string(n)});
    const auto both_ways = [&](double ratio, double share, const std::string& more, const std::string& less) {
        settings.push_back({ratio - 1.0, 0.5 * share, more + " in place of " + less});
        settings.push_back({1.0 / ratio - 1.0, 0.5 * share, less + " in place of " + more});
    };
    both_ways(48.0 / 44.1, 0.2, "48 kHz", "44.1 kHz");
    both_ways(1.001, 0.15, "a clock", "its 1000/1001, as video has it,");
    both_ways(32.768 / 32.0, 0.1, "32.768 kHz", "32 kHz");
    settings.push_back({-0.0025, 0.1, "a clock that is spread downwards by 0.5 %"});
    return settings;
}

const std::vector<WrongSetting>& known_settings() {
    static const std::vector<WrongSetting> settings = wrong_settings();
    return settings;
}

}  // namespace

DeviationPrior deviation_prior_of(const board::Rate& rate, const MatchParameters& parameters,
                                  const CaseEvidence& evidence) {
    DeviationPrior prior;
    if (rate.wanders()) {
        prior.uniform = true;
        prior.low = std::log(rate.hz_min);
        prior.high = std::log(rate.hz_max);
    } else {
        const double tolerance = std::max(rate.tolerance_ppm, parameters.least_tolerance_ppm) * 1e-6;
        prior.cut_sds = parameters.tolerance_sds;
        prior.sd = tolerance / parameters.tolerance_sds;
        prior.settings = tolerance < parameters.loose_tolerance;
        prior.outside_mass = prior.settings ? parameters.outside_mass_tight : parameters.outside_mass;
        prior.outside_sd = std::max(parameters.outside_sd, parameters.outside_least_tolerances * tolerance);
    }
    if (const auto seen = evidence.seen_in_trace.find(rate.full_name); seen != evidence.seen_in_trace.end()) {
        prior.seen_mass = seen->second.mass;
        prior.seen_x = seen->second.x;
        prior.seen_sd = seen->second.sd;
    }
    return prior;
}

double outside_density(const DeviationPrior& prior, double x, double sd) {
    const auto normal = [&](double offset, double own_sd) {
        return std::exp(log_normal_density(offset, 0.0, std::hypot(own_sd, sd)));
    };
    if (!prior.settings) return normal(x, prior.outside_sd);
    const double own_sd = std::hypot(settings_sd, prior.sd), reach = 8.0 * std::hypot(own_sd, sd);
    double density = large_divider_share * normal(x, large_divider_sd);
    for (const WrongSetting& setting : known_settings())
        if (std::abs(x - setting.x) < reach) density += setting.share * normal(x - setting.x, own_sd);
    return density;
}

std::string likeliest_wrong_setting(const DeviationPrior& prior, double x) {
    if (!prior.settings) return {};
    const double both = std::hypot(settings_sd, prior.sd);
    double best = large_divider_share * std::exp(log_normal_density(x, 0.0, std::hypot(large_divider_sd, both)));
    std::string words;
    for (const WrongSetting& setting : known_settings()) {
        const double density = setting.share * std::exp(log_normal_density(x, setting.x, both));
        if (density <= best) continue;
        best = density;
        words = setting.words;
    }
    return words;
}

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
      outside_(prior.outside_mass * outside_density(prior, mean, sd)) {
    pull_ = prior.sd * prior.sd / variance_;
    width_ = prior.sd * sd / std::sqrt(variance_);
    const double whole = normal_below(prior.cut_sds) - normal_below(-prior.cut_sds);
    height_ = (1.0 - prior.outside_mass) / whole * std::exp(-log_root_two_pi) / std::sqrt(variance_);
}

double SmearedPrior::quick_density(double card_error) const {
    const double offset = mean_ - card_error;
    const double middle = pull_ * offset;
    const double kept = quick_normal_below((cut_ - middle) / width_) - quick_normal_below((-cut_ - middle) / width_);
    return height_ * std::exp(-0.5 * offset * offset / variance_) * kept + outside_;
}

}  // namespace tattletone::match
