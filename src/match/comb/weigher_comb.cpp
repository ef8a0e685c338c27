// What a comb of faint lines says of a source, alone and together with its tones (MODEL.md 26).

#include <algorithm>
#include <cmath>

#include "match/model/gauss.h"
#include "match/model/weigher.h"
#include "match/search/gaussian_product.h"

namespace tattletone::match {
namespace {

struct Parts {
    Assignment own;         ///< tones by themselves, and in the last place where the comb puts the source
    std::size_t tones = 0;  ///< without that
    const LineMatch* comb = nullptr;
    double log_comb = 0.0;  ///< gains of its lines
};

Parts parts_of(std::span<const LineMatch> line_matches) {
    Parts parts;
    for (const LineMatch& line_match : line_matches) {
        if (line_match.comb < 0) {
            parts.own.push_back(line_match);
            continue;
        }
        parts.comb = &line_match;
        parts.log_comb += line_match.gain;
    }
    parts.tones = parts.own.size();
    parts.own.push_back(*parts.comb);
    return parts;
}

}  // namespace

bool Weigher::has_comb(std::span<const LineMatch> line_matches) {
    return std::any_of(line_matches.begin(), line_matches.end(),
                       [](const LineMatch& line_match) { return line_match.comb >= 0; });
}

Weight Weigher::weigh_comb(std::span<const LineMatch> seen) const {
    const Parts parts = parts_of(seen);
    const Comb& comb = source_.combs[static_cast<std::size_t>(parts.comb->comb)];
    const GaussianProduct product = gaussian_product(parts.own, true);
    const std::span<const LineMatch> own(parts.own.data(), parts.tones);
    double log_constant = std::log(observations_.parameters.comb_share) + comb.base + parts.log_comb;
    log_constant += own.empty() ? source_.log_prior_odds : log_constant_of(own, product.mean);
    Weight weight;
    weight.x = product.mean;
    weight.x_sd = product.sd;
    spread(weight, log_constant + product.log_constant, std::nullopt);
    return weight;
}

Bound Weigher::bound_of_comb(std::span<const LineMatch> line_matches) const {
    const Parts parts = parts_of(line_matches);
    const Comb& comb = source_.combs[static_cast<std::size_t>(parts.comb->comb)];
    const std::span<const LineMatch> own(parts.own.data(), parts.tones);
    Bound of_own;
    if (!own.empty()) of_own = bound(own);
    const double nearest =
        std::max(0.0, std::abs(comb.x) - CardGrid::reach_sds * observations_.parameters.card_sd_ppm * 1e-6);
    const double density = smeared_density(source_.prior, source_.prior.uniform ? comb.x : nearest, comb.sd, 0.0) +
                           source_.prior.seen_mass / comb.sd;
    Bound all;
    // With some of its tones it is placed by them or by the comb, whichever is likelier.
    all.base = std::max(source_.log_prior_odds + std::log(density + 1e-300),
                        own.empty() ? -1e300 : of_own.base - std::log(comb.sd)) +
               std::log(observations_.parameters.comb_share) + comb.base;
    std::size_t next = 0;
    for (const LineMatch& line_match : line_matches)
        all.gain.push_back(line_match.comb >= 0 ? std::max(0.0, line_match.gain) : of_own.gain[next++]);
    return all;
}

}  // namespace tattletone::match
