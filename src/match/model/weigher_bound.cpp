#include <algorithm>
#include <cmath>

#include "match/model/gauss.h"
#include "match/model/weigher.h"
#include "match/search/gaussian_product.h"

namespace tattletone::match {

// For any part of the line_matches: Π N(f_i) ≤ Π of their peaks, but for one line_match whose peak is smeared over the
// prior; levels at their best for each line_match alone; lines left out of the part at probability 1.
Bound Weigher::bound(std::span<const LineMatch> line_matches) const {
    if (has_comb(line_matches)) return bound_of_comb(line_matches);
    const GaussianProduct product = gaussian_product(line_matches, true);
    const auto& [rows, reference_db] = expected_for(product.mean, heard_in(line_matches));
    States sum = log_state_;
    Bound bound;
    bound.base = source_.log_prior_odds;
    if (observations_.thresholds.size() < 2) {
        add_missing(line_matches, {}, rows, product.mean, sum);  // in a part, the other tones hide lines
        const double log_levels = log_sum(sum);
        bound.base += log_levels;
    }
    const MatchParameters& p = observations_.parameters;
    bound.base -= std::log(std::min(p.sings_when_active, p.background_in_take));
    double placed = -1e300;
    for (const LineMatch& line_match : line_matches) {
        const double peak = -std::log(line_match.sd) - log_root_two_pi;
        const double nearest = std::max(0.0, std::abs(line_match.x) - CardGrid::reach_sds * p.card_sd_ppm * 1e-6);
        const double x = source_.prior.uniform ? line_match.x : nearest;
        DeviationPrior unseen = source_.prior;
        unseen.seen_mass = 0.0;
        // A density smeared by `sd` is nowhere above the Gaussian's peak.
        const double density =
            smeared_density(unseen, x, line_match.sd, 0.0) + source_.prior.seen_mass * std::exp(peak);
        placed = std::max(placed, std::log(density + 1e-300) - peak);
        const bool twin = has_twin(line_matches, line_match);
        double level = -1e300;
        for (int state = 0; state < states; ++state)
            level = std::max(level, log_seen(line_match, state, reference_db) -
                                        (twin ? std::log(emission_of(line_match, state / levels)) : 0.0));
        const ObservedTone& tone = observations_.tones[static_cast<std::size_t>(line_match.tone)];
        const Movement found = log_found(p, source_, tone);
        level += std::max(found.log_steady, found.log_moving);
        const bool path = source_.loose && line_matches.size() > 1 && (!tone.steady || tone.drift_sd > 0.0);
        if (const FarEvidence* fall = observations_.fall_of(tone)) level += fall->log_most();
        bound.gain.push_back(std::max(0.0, level + peak + log_tone(line_match) + (path ? p.path_gain_limit : 0.0)));
    }
    bound.base += placed;
    if (!source_.spot.empty()) bound.base += std::log(p.spot_factor_limit);
    return bound;
}

std::vector<Weigher::Missing> Weigher::missing(std::span<const LineMatch> seen, double at_least) const {
    if (has_comb(seen)) return {};
    const GaussianProduct product = gaussian_product(seen, true);
    const auto& [rows, reference_db] = expected_for(product.mean, heard_in(seen));
    States posterior = log_state_;
    add_missing(seen, seen, rows, product.mean, posterior);
    double total = -1e300;
    add_seen(seen, reference_db, posterior);
    for (int state = 0; state < states; ++state) total = log_add(total, posterior[state]);
    std::vector<Missing> result;
    for (const Row& row : rows) {
        const double hz = source_.kind == SourceKind::fixed ? row.hz * (1.0 + product.mean) : row.hz;
        const bool is_seen = std::any_of(seen.begin(), seen.end(), [&](const LineMatch& line_match) {
            return line_match.kind == board::LineKind::harmonic && line_match.order == row.order;
        });
        if (is_seen || hidden_at(hz, seen)) continue;
        double missed = 0.0;
        for (int state = 0; state < states; ++state) missed += std::exp(posterior[state] - total) * row.miss[state];
        if (1.0 - missed >= at_least) result.push_back({row.order, hz, 1.0 - missed});
    }
    return result;
}

}  // namespace tattletone::match
