#include "match/comb/comb_search.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <optional>

#include "match/comb/comb_score.h"
#include "match/comb/spread_score.h"
#include "match/model/card_grid.h"
#include "match/model/gauss.h"
#include "tones/detect/fine_spectrum.h"

namespace tattletone::match {
namespace {

// Lines nearer than this to each other, in what the recording resolves, are no comb.
constexpr double least_spacing = 12.0;
// Below, lines stand so close that found ones are taken for a cluster's: they speak for the comb.
constexpr double slow_below_hz = 100.0;
constexpr double least_log_odds_told = -3.5;
// Beyond, the model itself is what errs.
constexpr double most_log_ratio = 60.0;
constexpr int fewest_lines = 3;
constexpr int peak_reach = 4;  // places on each side of the best that are summed
// Steps by which a comb is moved to see whether what is beside its lines would speak for it as well.
constexpr int beside_steps[] = {8, 10, 12};
constexpr double mains_mask_ppm = 200.0, highest_mains_hz = 6000.0;
constexpr int most_mains_order = 100, most_ratio = 8;
constexpr double card_reach_sds = 4.0;
constexpr std::size_t most_comb_lines = 32;
// A source that is timed by a resistor and a capacitor keeps still or moves by one of these, as likely.
constexpr double spreads[] = {4e-5, 1.2e-4, 3.6e-4, 1.1e-3, 3.3e-3};

void mask(std::vector<MaskedHz>& masked, double low_hz, double high_hz, double by_hz) {
    masked.push_back({low_hz - by_hz, high_hz + by_hz});
}

bool speaks_for_slow(const tones::Tone& tone) {
    return tone.steady && (tone.origin == tones::Origin::board || tone.origin == tones::Origin::unsure);
}

/// What is known of a take already: its tones, the mains, and the room's.
std::vector<MaskedHz> masked_of(const tones::UnitTones& unit, const tones::Tones& found, bool slow) {
    std::vector<MaskedHz> masked;
    const double step_hz = found.fine ? found.fine->step_hz : 0.0;
    double mains_hz = 0.0;
    for (const tones::Tone& tone : found.tones) {
        if (tone.origin == tones::Origin::mains && tone.mains_hz > 0.0) mains_hz = tone.mains_hz;
        if (slow && speaks_for_slow(tone)) continue;
        const double half = std::max(5.0 * step_hz, 3.0 * tone.hz_sd);
        const auto [low, high] = std::minmax({tone.hz, tone.start_hz, tone.end_hz});
        mask(masked, low, high, tone.steady ? half : half + 2.5 * tone.wander_hz + 20.0 * step_hz);
    }
    if (mains_hz > 0.0)
        for (double hz = mains_hz; hz < highest_mains_hz; hz += mains_hz)
            mask(masked, hz, hz, 3.0 * step_hz + mains_mask_ppm * 1e-6 * hz);
    for (const tones::RoomLine& line : unit.room_lines)
        mask(masked, line.hz, line.hz, 5.0 * step_hz + (line.steady ? 3e-5 : 5e-3) * line.hz);
    return masked;
}

/// How likely a source is to be heard in a take, and in one take at least.
struct InTakes {
    std::vector<double> heard;
    double log_never = 0.0, log_never_where_it_runs = 0.0;
};

InTakes in_takes(const Observations& observations, const Source& source) {
    const MatchParameters& p = observations.parameters;
    const double sings = source.kind == SourceKind::family ? p.family_in_take : p.sings_when_active;
    InTakes in;
    for (const double active : source.active) {
        in.heard.push_back(active * sings + (1.0 - active) * p.state_error);
        in.log_never += std::log(1.0 - in.heard.back());
        in.log_never_where_it_runs += std::log(1.0 - sings);
    }
    return in;
}

/// A source's fundamental in one take at x.
struct Fundamental {
    bool logarithmic = false;
    std::vector<double> hz;  ///< by take, of fixed rates
    double at(std::size_t take, double x) const { return logarithmic ? std::exp(x) : hz[take] * (1.0 + x); }
};

class CombSearch {
  public:
    CombSearch(const Observations& observations, const Source& source, const std::vector<CombScore>& scores,
               const std::vector<const tones::Tones*>& found, const Orders& orders)
        : observations_(observations), source_(source), scores_(scores), found_(found), orders_(orders) {
        in_ = in_takes(observations, source);
        fundamental_.logarithmic = source.kind != SourceKind::fixed;
        for (std::size_t take = 0; take < scores.size(); ++take) {
            const auto& sheet = observations.setting_of(take).sheet;
            fundamental_.hz.push_back(source.rate >= 0 ? sheet.rates[static_cast<std::size_t>(source.rate)].hz : 0.0);
        }
    }

    /// For lines that are spread over a share of their frequency; one of several spreads that are as likely.
    void look_for_spread(const std::vector<SpreadScore>& scores, double spread) {
        spread_scores_ = &scores;
        spread_ = spread;
    }

    /// The best place between two x.
    std::optional<Comb> best(double low, double high) const {
        const double dx = step_of(0.5 * (low + high));
        if (!(dx > 0.0)) return std::nullopt;
        const auto places = static_cast<std::size_t>((high - low) / dx) + 1;
        double most = -1e300, x = low;
        for (std::size_t i = 0; i < places; ++i) {
            const double at = low + dx * static_cast<double>(i);
            const double value = log_ratio(at, true) + log_prior(at);
            if (value > most) most = value, x = at;
        }
        if (most + std::log(dx) < -4.0) return std::nullopt;
        return comb_at(x, dx);
    }

    std::optional<Comb> comb_at(double x, double dx) const {
        double values[2 * peak_reach + 1], top = -1e300, total = 0.0, mean = 0.0, square = 0.0;
        for (int i = -peak_reach; i <= peak_reach; ++i) {
            values[i + peak_reach] = log_ratio(x + i * dx, false);
            top = std::max(top, values[i + peak_reach]);
        }
        for (int i = -peak_reach; i <= peak_reach; ++i) {
            const double weight = std::exp(values[i + peak_reach] - top);
            total += weight;
            mean += weight * i;
            square += weight * i * i;
        }
        mean /= total;
        Comb comb;
        comb.rate = source_.rate;
        comb.x = x + mean * dx;
        comb.sd = dx * std::sqrt(std::max(square / total - mean * mean, 0.0) + 1.0 / 12.0);
        comb.log_ratio = top;
        comb.take = best_take(comb.x);
        comb.base = std::min(top - std::max(0.0, log_beside(comb.x)), most_log_ratio) + std::log(total * dx);
        add_lines(comb);
        if (comb.counted < fewest_lines) return std::nullopt;
        return comb;
    }

    double step_of(double x) const {
        double finest = 0.0;
        for (std::size_t take = 0; take < scores_.size(); ++take) {
            if (!scores_[take].can_tell()) continue;
            const double hz = fundamental_.at(take, x);
            if (hz < least_spacing * 2.0 * scores_[take].step_hz()) continue;
            const double highest = std::min(scores_[take].high_hz(), hz * orders_.last);
            const double dx = spread_ > 0.0 ? 0.5 * spread_ : scores_[take].step_hz() / highest;
            if (finest == 0.0 || dx < finest) finest = dx;
        }
        return finest;
    }

  private:
    double log_prior(double x) const {
        const DeviationPrior& prior = source_.prior;
        if (prior.uniform) return x < prior.low || x > prior.high ? -1e9 : 0.0;
        return log_normal_density(x, 0.0, std::hypot(prior.sd, observations_.parameters.card_sd_ppm * 1e-6));
    }

    double in_take(std::size_t take, double x, bool quick, double moved_hz = 0.0) const {
        const double hz = fundamental_.at(take, x);
        if (spread_ > 0.0) {
            const SpreadScore& score = (*spread_scores_)[take];
            return quick ? score.quick_log_ratio(hz, orders_, spread_) : score.log_ratio(hz, orders_, spread_);
        }
        return quick ? scores_[take].quick_log_ratio(hz, orders_) : scores_[take].log_ratio(hz, orders_, moved_hz);
    }

    double log_ratio(double x, bool quick) const {
        double sum = 0.0;
        for (std::size_t take = 0; take < scores_.size(); ++take) {
            if (!scores_[take].can_tell()) continue;
            const double heard = in_.heard[take];
            sum += log_add(std::log(1.0 - heard), std::log(heard) + in_take(take, x, quick));
        }
        // A rate that sings is heard in one take at least.
        const double never = in_.log_never;
        if (sum <= never + 1e-12) return -1e9;
        return sum + std::log1p(-std::exp(never - sum)) - std::log1p(-std::exp(in_.log_never_where_it_runs));
    }

    std::size_t told_take(double x) const {
        std::size_t best = 0;
        double most = -1e300;
        for (std::size_t take = 0; take < scores_.size(); ++take) {
            if (!scores_[take].can_tell()) continue;
            const double value = in_take(take, x, false) + std::log(in_.heard[take]);
            if (value > most) most = value, best = take;
        }
        return best;
    }
    int best_take(double x) const { return static_cast<int>(told_take(x)); }

    /// ln of the mean ratio of the same comb moved aside.
    double log_beside(double x) const {
        const std::size_t take = told_take(x);
        double sum = 0.0;
        int count = 0;
        if (spread_ > 0.0) {
            for (const double widths : {-5.0, -3.0, 3.0, 5.0})
                sum += std::exp(std::min(300.0, in_take(take, x + widths * spread_, false)));
            return std::log(0.25 * sum + 1e-300);
        }
        for (const int steps : beside_steps)
            for (const int sign : {-1, 1}) {
                sum += std::exp(std::min(300.0, in_take(take, x, false, sign * steps * scores_[take].step_hz())));
                ++count;
            }
        return std::log(sum / count + 1e-300);
    }

    void add_lines(Comb& comb) const {
        const CombScore& score = scores_[static_cast<std::size_t>(comb.take)];
        const double hz = fundamental_.at(static_cast<std::size_t>(comb.take), comb.x);
        auto lines = spread_ > 0.0 ? (*spread_scores_)[static_cast<std::size_t>(comb.take)].lines(hz, orders_, spread_)
                                   : score.lines(hz, orders_);
        comb.counted = static_cast<int>(lines.size());
        if (!lines.empty()) comb.low_hz = lines.front().hz, comb.high_hz = lines.back().hz;
        for (const CombScore::Line& line : lines) comb.mean_snr += (line.power - 1.0) / comb.counted;
        std::sort(lines.begin(), lines.end(),
                  [](const CombScore::Line& a, const CombScore::Line& b) { return a.gain > b.gain; });
        const tones::Tones& found = *found_[static_cast<std::size_t>(comb.take)];
        for (const CombScore::Line& line : lines) {
            if (comb.lines.size() == most_comb_lines || line.gain <= 0.0) break;
            CombLine told;
            told.order = line.order;
            told.hz = line.hz;
            told.hz_sd = std::max(comb.sd * line.hz / (fundamental_.logarithmic ? 1.0 : 1.0 + comb.x),
                                  std::max(0.3 * score.step_hz(), 0.25 * spread_ * line.hz));
            told.gain = line.gain;
            told.level_dbfs = tones::floor_at(found, line.hz).noise_dbfs_per_hz +
                              10.0 * std::log10(std::max(line.power - 1.0, 0.3) / score.seconds());
            comb.base -= told.gain;
            comb.lines.push_back(told);
        }
    }

    const Observations& observations_;
    const Source& source_;
    const std::vector<CombScore>& scores_;
    const std::vector<const tones::Tones*>& found_;
    const std::vector<SpreadScore>* spread_scores_ = nullptr;
    double spread_ = 0.0;
    Orders orders_;
    InTakes in_;
    Fundamental fundamental_;
};

Orders orders_of(board::Shape shape) {
    Orders orders;
    if (shape == board::Shape::square) orders.step = 2;
    if (shape == board::Shape::sine) orders.last = 2;
    return orders;
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
        usual.emplace_back(take.found, masked_of(unit, take.found, false));
    }
    const auto log_odds = [&](const Source& source, const Comb& comb) {
        return source.log_prior_odds + std::log(p.comb_share) + comb.log_odds() +
               std::log(smeared_density(source.prior, comb.x, std::hypot(comb.sd, p.card_sd_ppm * 1e-6), 0.0) + 1e-300);
    };
    struct Kept {
        double hz = 0.0, log_odds = 0.0;
        bool slow = false;
    };
    std::vector<Kept> kept;
    for (const Source& source : sources) {
        if (source.rate < 0 || source.kind != SourceKind::fixed) continue;
        const board::Rate& rate = observations.sheet->rates[static_cast<std::size_t>(source.rate)];
        if (rate.shape == board::Shape::sine) continue;
        const bool is_slow = rate.hz < slow_below_hz;
        if (is_slow && slow.empty())
            for (const tones::Take& take : unit.takes) slow.emplace_back(take.found, masked_of(unit, take.found, true));
        CombSearch search(observations, source, is_slow ? slow : usual, found, orders_of(rate.shape));
        const double reach = source.tolerance + card_reach_sds * p.card_sd_ppm * 1e-6;
        auto comb = search.best(-reach, reach);
        if (source.loose && !source.may_resonate && !is_slow) {
            if (comb) comb->base -= std::log(2.0);
            if (spread.empty())
                for (const CombScore& score : usual) spread.emplace_back(score);
            for (const double share : spreads) {
                search.look_for_spread(spread, share);
                auto moving = search.best(-reach, reach);
                if (moving) moving->base -= std::log(2.0 * std::size(spreads));
                if (moving && (!comb || moving->log_odds() > comb->log_odds())) comb = std::move(moving);
            }
        }
        if (!comb || log_odds(source, *comb) < least_log_odds_told) continue;
        kept.push_back({rate.hz * (1.0 + comb->x), log_odds(source, *comb), is_slow});
        combs.push_back(*comb);
    }
    if (kept.empty()) return combs;
    for (const Source& source : sources) {
        if (source.neighbour != Neighbour::mains || source.mains_heard) continue;
        CombSearch search(observations, source, usual, found, {1, 1, most_mains_order});
        auto comb = search.best(source.prior.low, source.prior.high);
        if (!comb) continue;
        comb->mains_hz = std::exp(0.5 * (source.prior.low + source.prior.high));
        if (log_odds(source, *comb) >= least_log_odds_told) combs.push_back(*comb);
    }
    // Something else with a simple ratio to the rate would have lines in common with it.
    const auto family = std::find_if(sources.begin(), sources.end(),
                                     [](const Source& source) { return source.neighbour == Neighbour::family; });
    for (const Kept& one : kept) {
        CombSearch search(observations, *family, one.slow ? slow : usual, found, {});
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
