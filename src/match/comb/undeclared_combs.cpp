#include "match/comb/undeclared_combs.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <optional>

#include "match/comb/blind_scan.h"
#include "match/comb/comb_masks.h"
#include "match/comb/comb_places.h"
#include "match/comb/comb_search.h"
#include "match/comb/comb_words.h"
#include "match/model/card_grid.h"
#include "match/model/gauss.h"

namespace tattletone::match {
namespace {

constexpr double lowest_hz = 20.0, highest_hz = 5000.0;
// Below, found lines stand so close that they are taken for a cluster's: unsure ones speak for a comb as well.
constexpr double slow_hz = 100.0;
constexpr std::size_t most_undeclared = 3;
constexpr int most_looked = 6;
constexpr double told_log_odds = 7.0, seen_log_odds = 3.0;
// A sound that repeats, as a clock's tick does, has lines at all multiples of its pace: so many fundamentals beside the
// first would do as well, and none is told.
constexpr std::size_t fewest_of_a_repeat = 3;
constexpr double same_ratio = 3e-4;
// What keeps time with the sound card comes from it or from the recording's coding, whose blocks are powers of two
// long.
constexpr int shortest_block = 64, longest_block = 2048, most_blocks = 8, most_parts = 4;
constexpr double locked = 2e-6;
constexpr int largest_ratio = 8;
constexpr double reach_sds = 6.0;
// The grids, and multiples of half of them, are the mains' within 0.2 Hz of 50.
constexpr double grids_hz[] = {50.0, 60.0}, grid_reach = 0.004;
constexpr int most_half_grids = 16;
constexpr double sings_from = 0.05, explained_from = 0.3;  // probabilities
constexpr double own_reach = 3.0, resistor_reach = 3e-3, card_sds = 4.0;
constexpr double own_steps = 5.0;

class Undeclared {
  public:
    Undeclared(const Observations& observations, const std::vector<Source>& sources, const JointPosterior* outcome,
               const Findings& findings)
        : observations_(observations), sources_(sources), outcome_(outcome), findings_(findings) {
        source_ = *std::find_if(sources.begin(), sources.end(),
                                [](const Source& source) { return source.neighbour == Neighbour::family; });
        source_.prior = {true, std::log(lowest_hz), std::log(highest_hz)};
        for (const tones::Take& take : findings.unit.takes) found_.push_back(&take.found);
    }

    std::vector<UndeclaredComb> all() {
        for (const Part& part :
             {Part{slow_hz, highest_hz, Speaking::board}, Part{lowest_hz, slow_hz, Speaking::unsure}})
            look_in(part);
        std::stable_sort(told_.begin(), told_.end(), [](const UndeclaredComb& a, const UndeclaredComb& b) {
            return a.log10_ratio > b.log10_ratio;
        });
        return std::move(told_);
    }

  private:
    struct Part {
        double low_hz = 0.0, high_hz = 0.0;
        Speaking speaking = Speaking::board;
    };

    void look_in(const Part& part) {
        const std::size_t before = told_.size();
        set_scores(part.speaking);
        const auto places = scanned(part);
        auto standing = standing_of(places);
        for (int looked = 0; looked < most_looked && !standing.empty() && told_.size() < most_undeclared; ++looked) {
            const Comb comb = likeliest_ratio(standing[0]);
            const bool known = is_known(std::exp(comb.x));
            if (log_odds(comb) < told_log_odds) break;
            if (known)
                passed_over_hz_.push_back(std::exp(comb.x));
            else
                told_.push_back(told_of(comb));
            set_scores(part.speaking);
            standing = standing_of(places);
            if (!known && unrelated(standing) >= fewest_of_a_repeat) {
                told_.resize(before);
                break;
            }
        }
    }

    void set_scores(Speaking speaking) {
        scores_.clear();
        for (const tones::Take& take : findings_.unit.takes) {
            std::vector<MaskedHz> masked = masked_of(findings_.unit, take.found, speaking);
            mask_explained(take.found, masked);
            scores_.emplace_back(take.found, masked);
        }
    }

    /// Lines of rates that may sing, tones that they explain, and lines of what has been told.
    void mask_explained(const tones::Tones& found, std::vector<MaskedHz>& masked) const {
        if (!found.fine) return;
        const double own_hz = own_steps * found.fine->step_hz;
        for (const auto& [id, list] : findings_.explained_by) {
            double sum = 0.0;
            for (const Explanation& explanation : list) sum += explanation.probability;
            if (sum < explained_from) continue;
            const tones::Tone& tone = findings_.unit.tones[static_cast<std::size_t>(id - 1)].tone;
            const double reach = own_hz + own_reach * tone.hz_sd;
            masked.push_back({tone.hz - reach, tone.hz + reach});
        }
        for (std::size_t i = 0; outcome_ != nullptr && i < sources_.size(); ++i) {
            const SourcePosterior& posterior = outcome_->sources[i];
            if (sources_[i].rate < 0 || posterior.sings < sings_from) continue;
            const board::Rate& rate = observations_.sheet->rates[static_cast<std::size_t>(sources_[i].rate)];
            const bool fixed = sources_[i].kind == SourceKind::fixed;
            const double hz = fixed ? rate.hz * (1.0 + posterior.x) : std::exp(posterior.x);
            const double sd = own_reach * std::min(posterior.x_sd, 1e-3) + (sources_[i].loose ? resistor_reach : 0.0);
            mask_multiples(hz, sd, own_hz, found, masked);
        }
        for (const double hz : passed_over_hz_) mask_multiples(hz, 0.0, own_hz, found, masked);
        for (const UndeclaredComb& comb : told_) mask_multiples(comb.hz, 0.0, own_hz, found, masked);
    }

    static void mask_multiples(double hz, double share, double own_hz, const tones::Tones& found,
                               std::vector<MaskedHz>& masked) {
        if (hz < lowest_hz) return;
        for (double at = hz; at < found.usable.high_hz; at += hz)
            masked.push_back({at - own_hz - share * at, at + own_hz + share * at});
    }

    /// Fundamentals that stand out, by take.
    std::vector<BlindPlace> scanned(const Part& part) const {
        std::vector<BlindPlace> places;
        for (const CombScore& score : scores_)
            for (const BlindPlace& place : blind_scan(score, part.low_hz, part.high_hz)) places.push_back(place);
        return places;
    }

    bool is_locked(double hz) const {
        for (const tones::Tones* found : found_)
            for (int block = shortest_block; block <= longest_block; block *= 2) {
                if (!found->fine) continue;
                const double by = locked + 2.0 * found->fine->step_hz / found->usable.high_hz;
                for (int part = 1; part <= most_parts; ++part) {
                    const double a = part * hz * block / found->sample_rate_hz;
                    if (a > 0.5 && a < most_blocks + 0.5 && std::abs(a / std::round(a) - 1.0) < by) return true;
                }
            }
        return false;
    }

    /// A grid's, or a declared rate: whether that sings has been judged.
    bool is_known(double hz) const {
        if (is_locked(hz)) return true;
        for (const double grid_hz : grids_hz) {
            const double halves = std::round(2.0 * hz / grid_hz);
            if (halves >= 1.0 && halves <= most_half_grids &&
                std::abs(2.0 * hz / (halves * grid_hz) - 1.0) < grid_reach)
                return true;
        }
        if (observations_.sheet == nullptr) return false;
        for (std::size_t i = 0; i < sources_.size(); ++i) {
            if (sources_[i].rate < 0) continue;
            const board::Rate& rate = observations_.sheet->rates[static_cast<std::size_t>(sources_[i].rate)];
            const double reach = sources_[i].tolerance + card_sds * 1e-6 * observations_.parameters.card_sd_ppm;
            if (rate.wanders() ? hz > rate.hz_min && hz < rate.hz_max : std::abs(hz / rate.hz - 1.0) < reach)
                return true;
        }
        return false;
    }

    double log_odds(const Comb& comb) const {
        return source_.log_prior_odds + std::log(observations_.parameters.comb_share) + comb.log_odds() -
               std::log(source_.prior.high - source_.prior.low);
    }

    /// The best within `reach`, relative.
    std::optional<Comb> about(const CombPlaces& search, double hz, double reach) const {
        if (hz < lowest_hz || hz > highest_hz) return std::nullopt;
        const double x = std::log(hz);
        return search.best(x - reach, x + reach);
    }

    /// Those that may be told, the likeliest first.
    std::vector<Comb> standing_of(const std::vector<BlindPlace>& places) const {
        const CombPlaces search(observations_, source_, scores_, found_, {});
        std::vector<Comb> standing;
        for (const BlindPlace& place : places) {
            const auto comb = about(search, place.hz, place.reach);
            if (comb && log_odds(*comb) >= seen_log_odds) standing.push_back(*comb);
        }
        std::stable_sort(standing.begin(), standing.end(),
                         [](const Comb& a, const Comb& b) { return a.log_ratio > b.log_ratio; });
        return standing;
    }

    /// Of those with lines in common the one that explains most.
    Comb likeliest_ratio(const Comb& first) const {
        const CombPlaces search(observations_, source_, scores_, found_, {});
        const double hz = std::exp(first.x), reach = reach_sds * first.sd;
        Comb best = first;
        for (int a = 1; a <= largest_ratio; ++a)
            for (int b = 1; b <= largest_ratio; ++b) {
                if (a == b || std::gcd(a, b) != 1) continue;
                const auto comb = about(search, hz * a / b, reach);
                if (comb && comb->log_ratio > best.log_ratio && log_odds(*comb) >= seen_log_odds) best = *comb;
            }
        return best;
    }

    /// How many fundamentals without simple ratios to each other.
    static std::size_t unrelated(const std::vector<Comb>& standing) {
        std::vector<double> fundamentals;
        for (const Comb& comb : standing) {
            const double hz = std::exp(comb.x);
            const bool known = std::any_of(fundamentals.begin(), fundamentals.end(), [&](double other) {
                for (int b = 1; b <= largest_ratio; ++b) {
                    const double a = hz / other * b;
                    if (a < largest_ratio + 0.5 && std::abs(a - std::round(a)) < same_ratio * a) return true;
                }
                return false;
            });
            if (!known) fundamentals.push_back(hz);
        }
        return fundamentals.size();
    }

    UndeclaredComb told_of(const Comb& comb) const {
        const tones::Tones& take = *found_[static_cast<std::size_t>(comb.take)];
        UndeclaredComb told;
        const double odds = std::exp(std::min(log_odds(comb), 30.0));
        told.probability = odds / (1.0 + odds);
        told.hz = std::exp(comb.x);
        told.hz_sd = told.hz * comb.sd;
        set_lines(comb, take, told);
        add_tones(2.0 * scores_[static_cast<std::size_t>(comb.take)].step_hz(), told);
        return told;
    }

    /// Found lines know the fundamental better.
    void add_tones(double resolution_hz, UndeclaredComb& comb) const {
        double weight = 1.0 / (comb.hz_sd * comb.hz_sd), sum = weight * comb.hz;
        for (const tones::UnitTone& unit_tone : findings_.unit.tones) {
            const tones::Tone& tone = unit_tone.tone;
            const bool open = tone.origin == tones::Origin::board || tone.origin == tones::Origin::unsure;
            const double order = std::round(tone.hz / comb.hz);
            if (!open || !tone.steady || tone.faint || tone.comb || order < 1.0 ||
                findings_.explained_by.contains(unit_tone.id))
                continue;
            const double sd = std::hypot(tone.hz_sd, order * comb.hz_sd);
            if (std::abs(tone.hz - order * comb.hz) > std::max(own_reach * sd, resolution_hz)) continue;
            comb.tones.push_back(unit_tone.id);
            const double own = order * order / (tone.hz_sd * tone.hz_sd);
            weight += own;
            sum += own * tone.hz / order;
        }
        comb.hz = sum / weight;
        comb.hz_sd = 1.0 / std::sqrt(weight);
    }

    const Observations& observations_;
    const std::vector<Source>& sources_;
    const JointPosterior* outcome_;
    const Findings& findings_;
    Source source_;
    std::vector<const tones::Tones*> found_;
    std::vector<CombScore> scores_;
    std::vector<UndeclaredComb> told_;
    std::vector<double> passed_over_hz_;
};

}  // namespace

std::vector<UndeclaredComb> undeclared_combs(const Observations& observations, const std::vector<Source>& sources,
                                             const JointPosterior* outcome, const Findings& findings) {
    if (!may_show_combs(findings.unit)) return {};
    return Undeclared(observations, sources, outcome, findings).all();
}

}  // namespace tattletone::match
