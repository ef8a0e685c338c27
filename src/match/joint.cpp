#include "match/joint.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <numeric>

#include "match/joint_search.h"

namespace tattletone {
namespace {

constexpr double least_side_log_odds = -12.0;
constexpr double least_way = 1e-3;

class Summing {
  public:
    Summing(const Scene& scene, const std::vector<Singer>& singers, std::vector<Contender>& contenders,
            const CardGrid& grid)
        : scene_(scene), singers_(singers), contenders_(contenders), grid_(grid) {
        outcome_.singers.resize(singers.size());
        best_share_.assign(singers.size(), 0.0);
    }

    JointOutcome sum(const SearchResult& found) {
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
        outcome_.explanations = static_cast<int>(joints.size());
        for (auto& [key, claim] : claims_) outcome_.claims.push_back(claim);
        tell_ways();
        return std::move(outcome_);
    }

  private:
    struct Side {
        int contender = 0, candidate = 0;
        PartMask part = 0;
        double odds = 0.0;
    };
    struct Detail {
        double log_weight = 0.0, card_mean = 0.0, card_square = 0.0;
        std::vector<char> used, by_declared;
        std::vector<Side> sides;
        std::map<int, double> side_total;   ///< by contender
    };

    Detail detail_of(const Joint& joint) {
        Detail detail;
        detail.log_weight = joint.log_weight;
        detail.used.assign(scene_.tones.size(), 0);
        detail.by_declared = detail.used;
        CardShape shape(grid_.weight.begin(), grid_.weight.end()), next;
        for (const Choice& choice : joint.choices) {
            Contender& contender = contenders_[static_cast<std::size_t>(choice.contender)];
            multiply(shape, *contender.weight_of(choice.candidate, choice.part), next);
            shape.swap(next);
            const Mode& mode = contender.candidates[static_cast<std::size_t>(choice.candidate)].mode;
            for (std::size_t k = 0; k < mode.size(); ++k) {
                if (!(choice.part >> k & 1u)) continue;
                detail.used[static_cast<std::size_t>(mode[k].tone)] = 1;
                if (is_declared(contender)) detail.by_declared[static_cast<std::size_t>(mode[k].tone)] = 1;
            }
        }
        const double total = std::accumulate(shape.begin(), shape.end(), 0.0);
        for (std::size_t i = 0; i < shape.size(); ++i) {
            shape[i] /= total;
            detail.card_mean += shape[i] * grid_.at(i);
            detail.card_square += shape[i] * grid_.at(i) * grid_.at(i);
        }
        std::vector<char> chosen(contenders_.size(), 0);
        for (const Choice& choice : joint.choices) chosen[static_cast<std::size_t>(choice.contender)] = 1;
        for (std::size_t i = 0; i < contenders_.size(); ++i)
            if (!chosen[i] && contenders_[i].twin < 0) add_side(static_cast<int>(i), shape, detail);
        return detail;
    }

    bool is_declared(const Contender& contender) const {
        return singers_[static_cast<std::size_t>(contender.singer)].kind != SingerKind::family;
    }

    void add_side(int index, const CardShape& card, Detail& detail) {
        Contender& contender = contenders_[static_cast<std::size_t>(index)];
        double sum = 0.0;
        bool hidden = false;             // only the first mode with all its tones used counts as hidden
        for (int i = 0; i < static_cast<int>(contender.candidates.size()); ++i) {
            const PartMask part = contender.free_part(i, detail.used);
            if (part == 0 && hidden) continue;
            hidden = hidden || part == 0;
            const Weight* weight = contender.weight_of(i, part);
            if (!weight || weight->log_scale < least_side_log_odds) continue;
            // What is stronger was branched on, and is a joint explanation of its own.
            if (part != 0 && weight->log_scale >= least_strong_) continue;
            double overlap = 1.0;
            if (!weight->flat)
                overlap = std::inner_product(card.begin(), card.end(), weight->shape.begin(), 0.0);
            const double odds = std::exp(weight->log_scale) * overlap;
            detail.sides.push_back({index, i, part, odds});
            sum += odds;
        }
        detail.side_total[index] = sum;
        detail.log_weight += std::log1p(sum);
    }

    void add_claims(const Contender& contender, int candidate, PartMask part, double share) {
        const auto singer = static_cast<std::size_t>(contender.singer);
        const Candidate& chosen = contender.candidates[static_cast<std::size_t>(candidate)];
        outcome_.singers[singer].sings += share;
        double& share_of_way = shares_[{contender.singer, candidate, part}];
        share_of_way += share;
        if (share_of_way > best_share_[singer]) {
            best_share_[singer] = share_of_way;
            SingerOutcome& best = outcome_.singers[singer];
            best.best.clear();
            best.hidden = part == 0;
            for (std::size_t k = 0; k < chosen.mode.size(); ++k)
                if (part == 0 || (part >> k & 1u)) best.best.push_back(chosen.mode[k]);
        }
        for (std::size_t k = 0; k < chosen.mode.size(); ++k) {
            if (!(part >> k & 1u)) continue;
            const Pair& pair = chosen.mode[k];
            Claim& claim = claims_[{pair.tone, contender.singer, line_of(pair)}];
            claim.tone = pair.tone;
            claim.singer = contender.singer;
            claim.pair = pair;
            claim.probability += share;
        }
    }

    using WayKey = std::vector<std::array<int, 3>>;   ///< tone, singer, line

    /// Which of a singer's lines: its place, or where it has none kind and order.
    static int line_of(const Pair& pair) {
        return 10000 * (pair.place + 1) + 1000 * static_cast<int>(pair.kind) + pair.order;
    }

    static void extend(WayKey& key, const Contender& contender, int candidate, PartMask part) {
        const Mode& mode = contender.candidates[static_cast<std::size_t>(candidate)].mode;
        for (std::size_t k = 0; k < mode.size(); ++k)
            if (part >> k & 1u) key.push_back({mode[k].tone, contender.singer, line_of(mode[k])});
    }

    void add_way(WayKey key, double probability) {
        std::sort(key.begin(), key.end());
        ways_[std::move(key)] += probability;
    }

    // The explanation by itself, and with each of the side choices that makes a tone.
    void add_ways(const Joint& joint, const Detail& detail, double share) {
        std::map<int, double> visible;
        for (const Side& side : detail.sides)
            if (side.part != 0) visible[side.contender] += side.odds;
        double none = share;
        for (const auto& [contender, odds] : visible)
            none *= 1.0 - odds / (1.0 + detail.side_total.at(contender));
        WayKey key;
        for (const Choice& choice : joint.choices)
            extend(key, contenders_[static_cast<std::size_t>(choice.contender)], choice.candidate, choice.part);
        add_way(key, none);
        for (const Side& side : detail.sides) {
            if (side.part == 0) continue;
            const double chosen = side.odds / (1.0 + detail.side_total.at(side.contender));
            const double others = none / (1.0 - visible[side.contender] / (1.0 + detail.side_total.at(side.contender)));
            WayKey longer = key;
            extend(longer, contenders_[static_cast<std::size_t>(side.contender)], side.candidate, side.part);
            add_way(std::move(longer), others * chosen);
        }
    }

    void tell_ways() {
        double total = 0.0;
        for (const auto& [key, probability] : ways_)
            if (probability > least_way) total += probability;
        for (const auto& [key, probability] : ways_) {
            if (probability <= least_way) continue;
            JointWay way;
            way.probability = probability / total;
            for (const auto& [tone, singer, line] : key) {
                Claim claim = claims_.at({tone, singer, line});
                claim.probability = 1.0;
                way.claims.push_back(claim);
            }
            outcome_.ways.push_back(std::move(way));
        }
    }

    void add(const Joint& joint, Detail& detail, double share) {
        add_ways(joint, detail, share);
        outcome_.card_mean += share * detail.card_mean;
        for (const Choice& choice : joint.choices)
            add_claims(contenders_[static_cast<std::size_t>(choice.contender)], choice.candidate, choice.part,
                       share);
        std::vector<double> explained(scene_.tones.size(), 0.0), taken(scene_.tones.size(), 0.0);
        for (const Side& side : detail.sides) {
            const Contender& contender = contenders_[static_cast<std::size_t>(side.contender)];
            const double probability = side.odds / (1.0 + detail.side_total[side.contender]);
            add_claims(contender, side.candidate, side.part, share * probability);
            const Mode& mode = contender.candidates[static_cast<std::size_t>(side.candidate)].mode;
            for (std::size_t k = 0; k < mode.size(); ++k) {
                if (!(side.part >> k & 1u)) continue;
                const auto tone = static_cast<std::size_t>(mode[k].tone);
                taken[tone] += probability;
                if (is_declared(contender)) explained[tone] += probability;
            }
        }
        double all_explained = 1.0;
        for (std::size_t i = 0; i < scene_.tones.size(); ++i) {
            if (!scene_.tones[i].of_board) continue;
            if (!detail.by_declared[i]) all_explained *= std::min(1.0, explained[i]);
            if (!detail.used[i]) outcome_.single_tones += share * std::max(0.0, 1.0 - taken[i]);
        }
        outcome_.undeclared += share * (1.0 - all_explained);
    }

    const Scene& scene_;
    const std::vector<Singer>& singers_;
    std::vector<Contender>& contenders_;
    const CardGrid& grid_;
    double least_strong_ = 0.0;
    JointOutcome outcome_;
    std::vector<double> best_share_;
    std::map<std::tuple<int, int, PartMask>, double> shares_;
    std::map<std::tuple<int, int, int>, Claim> claims_;
    std::map<WayKey, double> ways_;
};

BoundsMet bounds_met(const std::vector<Contender>& contenders, const SearchResult& found) {
    BoundsMet met;
    met.search_raised = found.raised;
    met.search_cut = found.cut;
    met.least_strong = found.least_strong;
    for (const Contender& contender : contenders) {
        if (contender.left_out > found.least_strong) met.modes_left_out.push_back(contender.singer);
        if (contender.tones_left_out > 0 && contender.twin < 0)
            met.tones_left_out.emplace_back(contender.singer, contender.tones_left_out);
    }
    return met;
}

}  // namespace

JointOutcome weigh_together(const Scene& scene, const std::vector<Singer>& singers, const CardGrid& grid) {
    auto contenders = contenders_of(scene, singers, grid);
    const SearchResult found = search_joints(contenders, scene.tones.size(), grid, scene.search.most_nodes);
    JointOutcome outcome = Summing(scene, singers, contenders, grid).sum(found);
    outcome.bounds = bounds_met(contenders, found);
    for (std::size_t i = 0; i < singers.size(); ++i) {
        SingerOutcome& singer = outcome.singers[i];
        if (singer.best.empty()) continue;
        const Weight weight = Weigher(scene, singers[i], grid).weigh(singer.best);
        singer.x = weight.x;
        singer.x_sd = weight.x_sd;
    }
    return outcome;
}

}  // namespace tattletone
