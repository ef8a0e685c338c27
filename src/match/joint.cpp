#include "match/joint.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>

#include "match/candidates.h"
#include "match/gauss.h"

namespace tattletone {
namespace {

constexpr int most_nodes = 6000;        // a branch each; then all is weighed again with a smaller margin
constexpr double margins[] = {9.2, 6.0, 4.0, 2.0, 0.5};

struct Choice {
    int contender = 0, candidate = 0;
    PartMask part = 0;                   ///< 0: hidden
};

struct Joint {
    double log_weight = 0.0;
    std::vector<Choice> choices;
};

using CardShape = std::vector<double>;   // Π of shapes times the card's prior, node by node

double multiply(const CardShape& by, const Weight& weight, CardShape& product) {
    double total = 0.0;
    product.resize(by.size());
    if (weight.flat) {
        product = by;
        return std::accumulate(by.begin(), by.end(), 0.0);
    }
    for (std::size_t i = 0; i < by.size(); ++i) {
        product[i] = by[i] * weight.shape[i];
        total += product[i];
    }
    return total;
}

class Search {
  public:
    Search(Contenders& contenders, std::size_t tones, const CardGrid& grid)
        : contenders_(contenders), used_(tones, 0), shapes_(contenders.core.size() + 1) {
        shapes_[0].assign(grid.weight.begin(), grid.weight.end());
    }

    std::vector<Joint> run() {
        share_tones();
        for (const double margin : margins) {
            margin_ = margin;
            nodes_ = 0;
            found_.clear();
            descend(0, 0.0);
            if (nodes_ < most_nodes) break;
        }
        std::erase_if(found_, [&](const Joint& joint) { return joint.log_weight < best_ - margin_; });
        return std::move(found_);
    }

  private:
    // The most that one tone can add in any mode of the contenders from `depth` on: its gain and its part
    // of the mode's base (a negative number, so a mode with fewer tones free is worth even less).
    void share_tones() {
        shares_.assign(contenders_.core.size() + 1, std::vector<double>(used_.size(), 0.0));
        for (std::size_t depth = contenders_.core.size(); depth-- > 0;) {
            shares_[depth] = shares_[depth + 1];
            for (const Candidate& candidate : contender_at(depth).candidates) {
                const double base = candidate.bound.base / static_cast<double>(candidate.mode.size());
                for (std::size_t i = 0; i < candidate.mode.size(); ++i) {
                    double& share = shares_[depth][static_cast<std::size_t>(candidate.mode[i].tone)];
                    share = std::max(share, candidate.bound.gain[i] + std::min(base, 0.0));
                }
            }
        }
    }

    Contender& contender_at(std::size_t depth) {
        return contenders_.list[static_cast<std::size_t>(contenders_.core[depth])];
    }

    double most_of_rest(std::size_t depth) {
        double by_tone = 0.0;
        for (std::size_t i = 0; i < used_.size(); ++i)
            if (!used_[i]) by_tone += shares_[depth][i];
        double by_contender = 0.0;
        for (std::size_t i = depth; i < contenders_.core.size() && by_contender < by_tone; ++i)
            by_contender += contender_at(i).upper(used_);
        return std::min(by_tone, by_contender);
    }

    void descend(std::size_t depth, double log_scale) {
        const double total = std::accumulate(shapes_[depth].begin(), shapes_[depth].end(), 0.0);
        const double log_weight = log_scale + std::log(total + 1e-300);
        if (log_weight + most_of_rest(depth) < best_ - margin_ || ++nodes_ > most_nodes) return;
        if (depth == contenders_.core.size()) {
            best_ = std::max(best_, log_weight);
            found_.push_back({log_weight, choices_});
            return;
        }
        const int index = contenders_.core[depth];
        Contender& contender = contenders_.list[static_cast<std::size_t>(index)];
        bool hidden = false;
        for (int i = contender.first_allowed(choices_of_twin(contender));
             i < static_cast<int>(contender.candidates.size()); ++i)
            if (contender.may_choose(i, used_, hidden)) choose(depth, log_scale, index, contender, i);
        shapes_[depth + 1] = shapes_[depth];
        descend(depth + 1, log_scale);
    }

    int choices_of_twin(const Contender& contender) const {
        if (contender.twin < 0) return -2;
        for (const Choice& choice : choices_)
            if (choice.contender == contender.twin) return choice.candidate;
        return -1;
    }

    void choose(std::size_t depth, double log_scale, int index, Contender& contender, int i) {
        const PartMask part = contender.free_part(i, used_);
        const Weight* weight = contender.weight_of(i, part);
        if (!weight) return;
        const Mode& mode = contender.candidates[static_cast<std::size_t>(i)].mode;
        multiply(shapes_[depth], *weight, shapes_[depth + 1]);
        for (std::size_t k = 0; k < mode.size(); ++k)
            if (part >> k & 1u) used_[static_cast<std::size_t>(mode[k].tone)] = 1;
        choices_.push_back({index, i, part});
        descend(depth + 1, log_scale + weight->log_scale);
        choices_.pop_back();
        for (std::size_t k = 0; k < mode.size(); ++k)
            if (part >> k & 1u) used_[static_cast<std::size_t>(mode[k].tone)] = 0;
    }

    Contenders& contenders_;
    std::vector<char> used_;
    std::vector<CardShape> shapes_;
    std::vector<std::vector<double>> shares_;   ///< by depth and tone
    std::vector<Choice> choices_;
    std::vector<Joint> found_;
    double best_ = -1e300, margin_ = 9.2;
    int nodes_ = 0;
};

class Summing {
  public:
    Summing(const Scene& scene, const std::vector<Singer>& singers, Contenders& contenders, const CardGrid& grid)
        : scene_(scene), singers_(singers), contenders_(contenders), grid_(grid) {
        outcome_.singers.resize(singers.size());
        best_share_.assign(singers.size(), 0.0);
    }

    JointOutcome sum(const std::vector<Joint>& joints) {
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
            Contender& contender = contenders_.list[static_cast<std::size_t>(choice.contender)];
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
        for (const int index : contenders_.sides) add_side(index, shape, detail);
        return detail;
    }

    bool is_declared(const Contender& contender) const {
        return singers_[static_cast<std::size_t>(contender.singer)].kind != SingerKind::family;
    }

    void add_side(int index, const CardShape& card, Detail& detail) {
        Contender& contender = contenders_.list[static_cast<std::size_t>(index)];
        double sum = 0.0;
        bool hidden = false;
        for (int i = 0; i < static_cast<int>(contender.candidates.size()); ++i) {
            if (!contender.may_choose(i, detail.used, hidden)) continue;
            const PartMask part = contender.free_part(i, detail.used);
            const Weight* weight = contender.weight_of(i, part);
            if (!weight || weight->log_scale < -12.0) continue;
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
            Claim& claim = claims_[{pair.tone, contender.singer, 1000 * pair.place + pair.order}];
            claim.tone = pair.tone;
            claim.singer = contender.singer;
            claim.pair = pair;
            claim.probability += share;
        }
    }

    void add(const Joint& joint, Detail& detail, double share) {
        outcome_.card_mean += share * detail.card_mean;
        for (const Choice& choice : joint.choices)
            add_claims(contenders_.list[static_cast<std::size_t>(choice.contender)], choice.candidate, choice.part,
                       share);
        std::vector<double> explained(scene_.tones.size(), 0.0), taken(scene_.tones.size(), 0.0);
        for (const Side& side : detail.sides) {
            const Contender& contender = contenders_.list[static_cast<std::size_t>(side.contender)];
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
    Contenders& contenders_;
    const CardGrid& grid_;
    JointOutcome outcome_;
    std::vector<double> best_share_;
    std::map<std::tuple<int, int, PartMask>, double> shares_;
    std::map<std::tuple<int, int, int>, Claim> claims_;
};

}  // namespace

JointOutcome weigh_together(const Scene& scene, const std::vector<Singer>& singers, const CardGrid& grid) {
    Contenders contenders = contenders_of(scene, singers, grid);
    const auto joints = Search(contenders, scene.tones.size(), grid).run();
    JointOutcome outcome = Summing(scene, singers, contenders, grid).sum(joints);
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
