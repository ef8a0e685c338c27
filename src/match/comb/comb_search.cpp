#include "match/comb/comb_search.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <optional>

#include "match/comb/comb_masks.h"
#include "match/comb/comb_places.h"
#include "match/comb/comb_score.h"
#include "match/comb/spread_score.h"
#include "match/model/gauss.h"
#include "tones/detect/fine_spectrum.h"

namespace tattletone::match {
namespace {

// Below, lines stand so close that found ones are taken for a cluster's: they speak for the comb.
constexpr double slow_below_hz = 100.0;
constexpr double least_log_odds_told = -3.5, clearly_stronger = 3.0;
constexpr double mains_beside = 3e-3;
constexpr int most_mains_order = 100, most_ratio = 8;
constexpr double card_reach_sds = 4.0;
// A source that is timed by a resistor and a capacitor keeps still or moves by one of these, as likely.
constexpr double spreads[] = {4e-5, 1.2e-4, 3.6e-4, 1.1e-3, 3.3e-3};

Orders orders_of(board::Shape shape) {
    Orders orders;
    if (shape == board::Shape::square) orders.step = 2;
    if (shape == board::Shape::sine) orders.last = 2;
    return orders;
}

/// At a multiple of a mains that is heard what stands out faintly may be its skirts.
bool beside_mains(const tones::UnitTones& unit, double hz) {
    return std::any_of(unit.tones.begin(), unit.tones.end(), [&](const tones::UnitTone& tone) {
        if (tone.tone.origin != tones::Origin::mains || !(tone.tone.mains_hz > 0.0)) return false;
        const double order = std::round(hz / tone.tone.mains_hz);
        return order >= 1.0 && std::abs(hz / (order * tone.tone.mains_hz) - 1.0) < mains_beside;
    });
}

}  // namespace

bool may_show_combs(const tones::UnitTones& unit) {
    return std::any_of(unit.takes.begin(), unit.takes.end(),
                       [](const tones::Take& take) { return take.found.fine && !take.found.fine->code.empty(); });
}

std::vector<Comb> find_combs(const Observations& observations, const tones::UnitTones& unit,
                             const std::vector<Source>& sources) {
    std::vector<Comb> combs;
    if (!may_show_combs(unit)) return combs;
    const MatchParameters& p = observations.parameters;
    std::vector<CombScore> usual, slow;
    std::vector<SpreadScore> spread;
    std::vector<const tones::Tones*> found;
    for (const tones::Take& take : unit.takes) {
        found.push_back(&take.found);
        usual.emplace_back(take.found, masked_of(unit, take.found, Speaking::none));
    }
    const auto log_odds = [&](const Source& source, const Comb& comb) {
        return source.log_prior_odds + std::log(p.comb_share) + comb.log_odds() +
               std::log(smeared_density(source.prior, comb.x, std::hypot(comb.sd, p.card_sd_ppm * 1e-6), 0.0) + 1e-300);
    };
    struct Kept {
        const Source* source = nullptr;
        Comb comb;
        double hz = 0.0, log_odds = 0.0;
        bool slow = false;
    };
    const auto comb_of = [&](const Source& source, bool is_slow, const std::vector<CombScore>& scores,
                             std::vector<SpreadScore>& spreads_of) {
        const board::Rate& rate = observations.sheet->rates[static_cast<std::size_t>(source.rate)];
        CombPlaces search(observations, source, scores, found, orders_of(rate.shape));
        const double reach = source.tolerance + card_reach_sds * p.card_sd_ppm * 1e-6;
        auto comb = search.best(-reach, reach);
        if (!source.loose || source.may_resonate || is_slow) return comb;
        if (comb) comb->base -= std::log(2.0);
        if (spreads_of.empty())
            for (const CombScore& score : scores) spreads_of.emplace_back(score);
        for (const double share : spreads) {
            search.look_for_spread(spreads_of, share);
            auto moving = search.best(-reach, reach);
            if (moving) moving->base -= std::log(2.0 * std::size(spreads));
            if (moving && (!comb || moving->log_odds() > comb->log_odds())) comb = std::move(moving);
        }
        return comb;
    };
    std::vector<Kept> kept;
    for (const Source& source : sources) {
        if (source.rate < 0 || source.kind != SourceKind::fixed) continue;
        const board::Rate& rate = observations.sheet->rates[static_cast<std::size_t>(source.rate)];
        if (rate.shape == board::Shape::sine) continue;
        const bool is_slow = rate.hz < slow_below_hz;
        if (is_slow && slow.empty())
            for (const tones::Take& take : unit.takes)
                slow.emplace_back(take.found, masked_of(unit, take.found, Speaking::unsure));
        const auto comb = comb_of(source, is_slow, is_slow ? slow : usual, spread);
        if (!comb || log_odds(source, *comb) < least_log_odds_told) continue;
        if (beside_mains(unit, rate.hz * (1.0 + comb->x))) continue;
        kept.push_back({&source, *comb, rate.hz * (1.0 + comb->x), log_odds(source, *comb), is_slow});
    }
    // A weaker one whose lines are some of a stronger one's is what stands out without these.
    std::stable_sort(kept.begin(), kept.end(),
                     [](const Kept& a, const Kept& b) { return a.comb.log_ratio > b.comb.log_ratio; });
    for (std::size_t i = 1; i < kept.size(); ++i) {
        if (kept[0].comb.log_ratio < kept[i].comb.log_ratio + clearly_stronger) continue;
        std::vector<CombScore> scores;
        for (std::size_t take = 0; take < unit.takes.size(); ++take) {
            const tones::Tones& in = unit.takes[take].found;
            auto masked = masked_of(unit, in, kept[i].slow ? Speaking::unsure : Speaking::none);
            for (std::size_t j = 0; j < i; ++j) {
                if (kept[j].comb.log_ratio < kept[i].comb.log_ratio + clearly_stronger || !in.fine) continue;
                const auto rate = static_cast<std::size_t>(kept[j].source->rate);
                const double hz = observations.setting_of(take).sheet.rates[rate].hz * (1.0 + kept[j].comb.x);
                mask_lines(masked, hz, in.fine->step_hz, in.usable.high_hz);
            }
            scores.emplace_back(in, masked);
        }
        std::vector<SpreadScore> spreads_of;
        const auto rest = comb_of(*kept[i].source, kept[i].slow, scores, spreads_of);
        kept[i].log_odds = rest ? log_odds(*kept[i].source, *rest) : -1e9;
        if (rest) kept[i].comb = *rest;
    }
    std::erase_if(kept, [](const Kept& one) { return one.log_odds < least_log_odds_told; });
    for (const Kept& one : kept) combs.push_back(one.comb);
    if (kept.empty()) return combs;
    for (const Source& source : sources) {
        if (source.neighbour != Neighbour::mains || source.mains_heard) continue;
        CombPlaces search(observations, source, usual, found, {1, 1, most_mains_order});
        auto comb = search.best(source.prior.low, source.prior.high);
        if (!comb) continue;
        comb->mains_hz = std::exp(0.5 * (source.prior.low + source.prior.high));
        if (log_odds(source, *comb) >= least_log_odds_told) combs.push_back(*comb);
    }
    // Something else with a simple ratio to the rate would have lines in common with it.
    const auto family = std::find_if(sources.begin(), sources.end(),
                                     [](const Source& source) { return source.neighbour == Neighbour::family; });
    for (const Kept& one : kept) {
        CombPlaces search(observations, *family, one.slow ? slow : usual, found, {});
        std::optional<Comb> best;
        for (int a = 1; a <= most_ratio; ++a)
            for (int b = 1; b <= most_ratio; ++b) {
                if (std::gcd(a, b) != 1) continue;
                const double x = std::log(one.hz * a / b);
                if (x < family->prior.low || x > family->prior.high) continue;
                const double dx = search.step_of(x);
                if (!(dx > 0.0)) continue;
                const auto comb = search.best(x - 6.0 * dx, x + 6.0 * dx);
                if (comb && (!best || comb->log_odds() > best->log_odds())) best = comb;
            }
        if (best && log_odds(*family, *best) > std::max(one.log_odds - 6.0, least_log_odds_told))
            combs.push_back(*best);
    }
    return combs;
}

}  // namespace tattletone::match
