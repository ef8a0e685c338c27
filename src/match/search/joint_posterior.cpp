#include "match/search/joint_posterior.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <numeric>

#include "match/search/joint_search.h"

namespace tattletone::match {
namespace {

constexpr double least_side_log_odds = -12.0;
constexpr double least_attribution = 1e-3;

class Summing {
  public:
    Summing(const Observations& observations, const std::vector<Source>& sources, std::vector<Hypothesis>& hypotheses,
            const CardGrid& grid)
        : observations_(observations), sources_(sources), hypotheses_(hypotheses), grid_(grid) {
        outcome_.sources.resize(sources.size());
        best_share_.assign(sources.size(), 0.0);
    }

    JointPosterior sum(const SearchResult& found) {
        const std::vector<Joint>& joints = found.joints;
        least_strong_ = found.least_strong;
        std::vector<Detail> details;
        double top = -1e300;
        for (const Joint& joint : joints) {
            details.push_back(detail_of(joint));
            top = std::max(top, details.back().log_weight);
        }
        double total = 0.0;
        for (const Detail& detail : details) total += std::exp(detail.log_weight - top);
        double square = 0.0;
        for (std::size_t i = 0; i < joints.size(); ++i) {
            const double share = std::exp(details[i].log_weight - top) / total;
            add(joints[i], details[i], share);
            square += share * details[i].card_square;
        }
        outcome_.card_sd = std::sqrt(std::max(0.0, square - outcome_.card_mean * outcome_.card_mean));
        outcome_.log_evidence = joints.empty() ? 0.0 : top + std::log(total);
        outcome_.explanations = static_cast<int>(joints.size());
        for (auto& [key, claim] : claims_) outcome_.claims.push_back(claim);
        tell_attributions();
        return std::move(outcome_);
    }

  private:
    struct Side {
        int hypothesis = 0, candidate = 0;
        PartMask part = 0;
        double odds = 0.0, probability = 0.0;
    };
    struct Detail {
        double log_weight = 0.0, card_mean = 0.0, card_square = 0.0;
        std::vector<char> used, by_known;
        std::vector<Side> sides;
    };

    Detail detail_of(const Joint& joint) {
        Detail detail;
        detail.log_weight = joint.log_weight;
        detail.used.assign(observations_.tones.size(), 0);
        detail.by_known = detail.used;
        CardShape shape(grid_.weight.begin(), grid_.weight.end()), next;
        for (const Choice& choice : joint.choices) {
            Hypothesis& hypothesis = hypotheses_[static_cast<std::size_t>(choice.hypothesis)];
            multiply(shape, *hypothesis.weight_of(choice.candidate, choice.part), next);
            shape.swap(next);
            const Assignment& assignment = hypothesis.candidates[static_cast<std::size_t>(choice.candidate)].assignment;
            for (std::size_t k = 0; k < assignment.size(); ++k) {
                if (!(choice.part >> k & 1u)) continue;
                detail.used[static_cast<std::size_t>(assignment[k].tone)] = 1;
                if (is_known(hypothesis)) detail.by_known[static_cast<std::size_t>(assignment[k].tone)] = 1;
            }
        }
        const double total = std::accumulate(shape.begin(), shape.end(), 0.0);
        for (std::size_t i = 0; i < shape.size(); ++i) {
            shape[i] /= total;
            detail.card_mean += shape[i] * grid_.at(i);
            detail.card_square += shape[i] * grid_.at(i) * grid_.at(i);
        }
        std::vector<char> chosen(hypotheses_.size(), 0);
        for (const Choice& choice : joint.choices) chosen[static_cast<std::size_t>(choice.hypothesis)] = 1;
        for (std::size_t i = 0; i < hypotheses_.size(); ++i)
            if (!chosen[i] && hypotheses_[i].twin < 0 && !has_twin(joint, hypotheses_[i]))
                add_side(static_cast<int>(i), shape, detail);
        detail.log_weight += share_out(detail.sides);
        return detail;
    }

    const Assignment& assignment_of(const Side& side) const {
        return hypotheses_[static_cast<std::size_t>(side.hypothesis)]
            .candidates[static_cast<std::size_t>(side.candidate)]
            .assignment;
    }

    /// Probabilities of the sides, where those of different sources that would make the same tone shut each other out;
    /// ln of the sum of all. MODEL.md 12.2.
    double share_out(std::vector<Side>& sides) const {
        using Odds = std::map<int, double>;  // by hypothesis
        std::map<int, Odds> at_tone;
        Odds total;
        for (const Side& side : sides) {
            total[side.hypothesis] += side.odds;
            for_each_tone(side, [&](int tone) { at_tone[tone][side.hypothesis] += side.odds; });
        }
        // What may be in place of a side: nothing, or at each of its tones one of the other sources that have it, each
        // counted at the tone where its odds are best.
        const auto instead_of = [&](const Side& side, const auto& counts) {
            std::map<int, std::pair<double, int>> met;  // by hypothesis: odds, tone
            for_each_tone(side, [&](int tone) {
                for (const auto& [other, odds] : at_tone.at(tone))
                    if (other != side.hypothesis && counts(other)) met[other] = std::max(met[other], {odds, tone});
            });
            Odds at;
            for (const auto& [other, best] : met) at[best.second] += best.first;
            double product = 1.0;
            for (const auto& [tone, odds] : at) product *= 1.0 + odds;
            return product;
        };
        std::vector<int> strongest_first;
        for (const auto& [hypothesis, odds] : total) strongest_first.push_back(hypothesis);
        std::stable_sort(strongest_first.begin(), strongest_first.end(),
                         [&](int a, int b) { return total.at(a) > total.at(b); });
        std::map<int, int> rank;
        for (std::size_t i = 0; i < strongest_first.size(); ++i) rank[strongest_first[i]] = static_cast<int>(i);
        Odds left_over;
        for (Side& side : sides) {
            side.probability = side.odds / (total.at(side.hypothesis) + instead_of(side, [](int) { return true; }));
            left_over[side.hypothesis] +=
                side.odds / instead_of(side, [&](int other) { return rank.at(other) < rank.at(side.hypothesis); });
        }
        double log_sum = 0.0;
        for (const auto& [hypothesis, odds] : left_over) log_sum += std::log1p(odds);
        return log_sum;
    }

    template <class Take>
    void for_each_tone(const Side& side, const Take& take) const {
        const Assignment& assignment = assignment_of(side);
        for (std::size_t k = 0; k < assignment.size(); ++k)
            if (side.part >> k & 1u) take(assignment[k].tone);
    }

    /// What a twin makes was not the rate's: it does not hide behind it.
    bool has_twin(const Joint& joint, const Hypothesis& hypothesis) const {
        const int rate = source_of(hypothesis).rate;
        return rate >= 0 && std::any_of(joint.choices.begin(), joint.choices.end(), [&](const Choice& choice) {
                   return source_of(hypotheses_[static_cast<std::size_t>(choice.hypothesis)]).twin_of == rate;
               });
    }

    const Source& source_of(const Hypothesis& hypothesis) const {
        return sources_[static_cast<std::size_t>(hypothesis.source)];
    }

    /// A declared rate, or what is known not to be the board's.
    bool is_known(const Hypothesis& hypothesis) const {
        const Source& source = source_of(hypothesis);
        return source.rate >= 0 || source.is_elsewhere();
    }

    void add_side(int index, const CardShape& card, Detail& detail) {
        Hypothesis& hypothesis = hypotheses_[static_cast<std::size_t>(index)];
        bool hidden = false;  // only the first assignment with all its tones used counts as hidden
        for (int i = 0; i < static_cast<int>(hypothesis.candidates.size()); ++i) {
            const PartMask part = hypothesis.free_part(i, detail.used);
            if (part == 0 && hidden) continue;
            hidden = hidden || part == 0;
            const Weight* weight = hypothesis.weight_of(i, part);
            if (!weight || weight->log_scale < least_side_log_odds) continue;
            // What is stronger was branched on, and is a joint explanation of its own.
            if (part != 0 && weight->log_scale >= least_strong_) continue;
            double overlap = 1.0;
            if (!weight->flat) overlap = std::inner_product(card.begin(), card.end(), weight->shape.begin(), 0.0);
            detail.sides.push_back({index, i, part, std::exp(weight->log_scale) * overlap});
        }
    }

    void add_claims(const Hypothesis& hypothesis, int candidate, PartMask part, double share) {
        const auto source = static_cast<std::size_t>(hypothesis.source);
        const Candidate& chosen = hypothesis.candidates[static_cast<std::size_t>(candidate)];
        outcome_.sources[source].sings += share;
        double& share_of_attribution = shares_[{hypothesis.source, candidate, part}];
        share_of_attribution += share;
        if (share_of_attribution > best_share_[source]) {
            best_share_[source] = share_of_attribution;
            SourcePosterior& best = outcome_.sources[source];
            best.best.clear();
            best.hidden = part == 0;
            for (std::size_t k = 0; k < chosen.assignment.size(); ++k)
                if (part == 0 || (part >> k & 1u)) best.best.push_back(chosen.assignment[k]);
        }
        for (std::size_t k = 0; k < chosen.assignment.size(); ++k) {
            if (!(part >> k & 1u)) continue;
            const LineMatch& line_match = chosen.assignment[k];
            Claim& claim = claims_[{line_match.tone, hypothesis.source, line_of(line_match)}];
            claim.tone = line_match.tone;
            claim.source = hypothesis.source;
            claim.line_match = line_match;
            claim.probability += share;
        }
    }

    using AttributionKey = std::vector<std::array<int, 3>>;  ///< tone, source, line

    /// Which of a source's lines: its line, or where it has none kind and order.
    static int line_of(const LineMatch& line_match) {
        return 10000 * (line_match.line + 1) + 1000 * static_cast<int>(line_match.kind) + line_match.order;
    }

    static void extend(AttributionKey& key, const Hypothesis& hypothesis, int candidate, PartMask part) {
        const Assignment& assignment = hypothesis.candidates[static_cast<std::size_t>(candidate)].assignment;
        for (std::size_t k = 0; k < assignment.size(); ++k)
            if (part >> k & 1u) key.push_back({assignment[k].tone, hypothesis.source, line_of(assignment[k])});
    }

    void add_attribution(AttributionKey key, double probability) {
        std::sort(key.begin(), key.end());
        attributions_[std::move(key)] += probability;
    }

    // The explanation by itself, and with each of the side choices that makes a tone.
    void add_ways(const Joint& joint, const Detail& detail, double share) {
        std::map<int, double> visible;
        for (const Side& side : detail.sides)
            if (side.part != 0) visible[side.hypothesis] += side.probability;
        double none = share;
        for (const auto& [hypothesis, probability] : visible) none *= 1.0 - probability;
        AttributionKey key;
        for (const Choice& choice : joint.choices)
            extend(key, hypotheses_[static_cast<std::size_t>(choice.hypothesis)], choice.candidate, choice.part);
        add_attribution(key, none);
        for (const Side& side : detail.sides) {
            if (side.part == 0) continue;
            const double others = none / (1.0 - visible.at(side.hypothesis));
            AttributionKey longer = key;
            extend(longer, hypotheses_[static_cast<std::size_t>(side.hypothesis)], side.candidate, side.part);
            add_attribution(std::move(longer), others * side.probability);
        }
    }

    void tell_attributions() {
        double total = 0.0;
        for (const auto& [key, probability] : attributions_)
            if (probability > least_attribution) total += probability;
        for (const auto& [key, probability] : attributions_) {
            if (probability <= least_attribution) continue;
            JointAttribution attribution;
            attribution.probability = probability / total;
            for (const auto& [tone, source, line] : key) {
                Claim claim = claims_.at({tone, source, line});
                claim.probability = 1.0;
                attribution.claims.push_back(claim);
            }
            outcome_.attributions.push_back(std::move(attribution));
        }
    }

    void add(const Joint& joint, Detail& detail, double share) {
        add_ways(joint, detail, share);
        outcome_.card_mean += share * detail.card_mean;
        for (const Choice& choice : joint.choices)
            add_claims(hypotheses_[static_cast<std::size_t>(choice.hypothesis)], choice.candidate, choice.part, share);
        std::vector<double> explained(observations_.tones.size(), 0.0), taken(observations_.tones.size(), 0.0);
        for (const Side& side : detail.sides) {
            const Hypothesis& hypothesis = hypotheses_[static_cast<std::size_t>(side.hypothesis)];
            add_claims(hypothesis, side.candidate, side.part, share * side.probability);
            for_each_tone(side, [&](int tone) {
                taken[static_cast<std::size_t>(tone)] += side.probability;
                if (is_known(hypothesis)) explained[static_cast<std::size_t>(tone)] += side.probability;
            });
        }
        double all_explained = 1.0;
        for (std::size_t i = 0; i < observations_.tones.size(); ++i) {
            if (!observations_.tones[i].of_board) continue;
            if (!detail.by_known[i]) all_explained *= std::min(1.0, explained[i]);
            if (!detail.used[i]) outcome_.single_tones += share * std::max(0.0, 1.0 - taken[i]);
        }
        outcome_.undeclared += share * (1.0 - all_explained);
    }

    const Observations& observations_;
    const std::vector<Source>& sources_;
    std::vector<Hypothesis>& hypotheses_;
    const CardGrid& grid_;
    double least_strong_ = 0.0;
    JointPosterior outcome_;
    std::vector<double> best_share_;
    std::map<std::tuple<int, int, PartMask>, double> shares_;
    std::map<std::tuple<int, int, int>, Claim> claims_;
    std::map<AttributionKey, double> attributions_;
};

BoundsMet bounds_met(const std::vector<Hypothesis>& hypotheses, const SearchResult& found) {
    BoundsMet met;
    met.search_raised = found.raised;
    met.search_cut = found.cut;
    met.least_strong = found.least_strong;
    for (const Hypothesis& hypothesis : hypotheses) {
        if (hypothesis.left_out > found.least_strong) met.assignments_left_out.push_back(hypothesis.source);
        if (hypothesis.tones_left_out > 0 && hypothesis.twin < 0)
            met.tones_left_out.emplace_back(hypothesis.source, hypothesis.tones_left_out);
    }
    return met;
}

}  // namespace

JointPosterior weigh_together(const Observations& observations, const std::vector<Source>& sources,
                              const CardGrid& grid) {
    auto hypotheses = hypotheses_of(observations, sources, grid);
    const SearchResult found =
        search_joints(hypotheses, observations.tones.size(), grid, observations.search.most_nodes);
    JointPosterior outcome = Summing(observations, sources, hypotheses, grid).sum(found);
    outcome.bounds = bounds_met(hypotheses, found);
    for (std::size_t i = 0; i < sources.size(); ++i) {
        SourcePosterior& source = outcome.sources[i];
        if (source.best.empty()) continue;
        const Weight weight = Weigher(observations, sources[i], grid).weigh(source.best);
        source.x = weight.x;
        source.x_sd = weight.x_sd;
    }
    return outcome;
}

}  // namespace tattletone::match
