#include <algorithm>
#include <cmath>

#include "match/gauss.h"
#include "match/product.h"
#include "match/weigher.h"

namespace tattletone {

// For any part of the pairs: Π N(f_i) ≤ Π of their peaks, but for one pair whose peak is smeared over the
// prior; levels at their best for each pair alone; lines left out of the part at probability 1.
Bound Weigher::bound(std::span<const Pair> pairs) const {
    const Product product = product_of(pairs, true);
    double reference_db = 0.0;
    const TakeSet takes = heard_in(pairs);
    const auto& rows = rows_for(product.mean, takes, reference_db);
    States sum;
    std::copy(std::begin(log_state_), std::end(log_state_), sum);
    Bound bound;
    bound.base = singer_.log_prior_odds;
    if (scene_.thresholds.size() < 2) {
        add_missing(pairs, {}, rows, product.mean, sum);   // in a part, the other tones hide lines
            const double log_levels = log_sum(sum);
        bound.base += log_levels;
    }
    const MatchParameters& p = scene_.parameters;
    bound.base -= std::log(std::min(p.sings_when_active, p.background_in_take));
    double placed = -1e300;
    for (const Pair& pair : pairs) {
        const double peak = -std::log(pair.sd) - log_root_two_pi;
        const double nearest =
            std::max(0.0, std::abs(pair.x) - CardGrid::reach_sds * p.card_sd_ppm * 1e-6);
        const double x = singer_.prior.uniform ? pair.x : nearest;
        DeviationPrior unseen = singer_.prior;
        unseen.seen_mass = 0.0;
        // A density smeared by `sd` is nowhere above the Gaussian's peak.
        const double density = smeared_density(unseen, x, pair.sd, 0.0) + singer_.prior.seen_mass * std::exp(peak);
        placed = std::max(placed, std::log(density + 1e-300) - peak);
        const bool twin = has_twin(pairs, pair);
        double level = -1e300;
        for (int state = 0; state < states; ++state)
            level = std::max(level, log_seen(pair, state, reference_db) -
                                        (twin ? std::log(emission_of(pair, state / levels)) : 0.0));
        const SceneTone& tone = scene_.tones[static_cast<std::size_t>(pair.tone)];
        const Movement found = log_found(p, singer_, tone);
        level += std::max(found.log_steady, found.log_moving);
        const bool path = singer_.loose && pairs.size() > 1 && (!tone.steady || tone.drift_sd > 0.0);
        bound.gain.push_back(std::max(0.0, level + peak + log_tone(pair) + (path ? p.path_gain_limit : 0.0)));
    }
    bound.base += placed;
    if (!singer_.spot.empty()) bound.base += std::log(p.spot_factor_limit);
    return bound;
}

std::vector<Weigher::Missing> Weigher::missing(std::span<const Pair> seen, double at_least) const {
    const Product product = product_of(seen, true);
    double reference_db = 0.0;
    const auto& rows = rows_for(product.mean, heard_in(seen), reference_db);
    States posterior;
    std::copy(std::begin(log_state_), std::end(log_state_), posterior);
    add_missing(seen, seen, rows, product.mean, posterior);
    double total = -1e300;
    add_seen(seen, reference_db, posterior);
    for (int state = 0; state < states; ++state) total = log_add(total, posterior[state]);
    std::vector<Missing> result;
    for (const Row& row : rows) {
        const double hz = singer_.kind == SingerKind::fixed ? row.hz * (1.0 + product.mean) : row.hz;
        const bool is_seen = std::any_of(seen.begin(), seen.end(), [&](const Pair& pair) {
            return pair.kind == LineKind::harmonic && pair.order == row.order;
        });
        if (is_seen || hidden_at(hz, seen)) continue;
        double missed = 0.0;
        for (int state = 0; state < states; ++state)
            missed += std::exp(posterior[state] - total) * row.miss[state];
        if (1.0 - missed >= at_least) result.push_back({row.order, hz, 1.0 - missed});
    }
    return result;
}

}  // namespace tattletone
