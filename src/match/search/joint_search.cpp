#include "match/search/joint_search.h"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace tattletone::match {
namespace {

constexpr double margin = 6.9;
constexpr double strong_odds[] = {0.1, 1.0, 10.0, 100.0};

double log_sum(const CardShape& shape) {
    return std::log(std::accumulate(shape.begin(), shape.end(), 0.0) + 1e-300);
}

class Search {
  public:
    Search(std::vector<Hypothesis>& hypotheses, std::size_t tones, const CardGrid& grid, int most_nodes)
        : hypotheses_(hypotheses), most_nodes_(most_nodes), used_(tones, 0) {
        prior_.assign(grid.weight.begin(), grid.weight.end());
    }

    SearchResult run() {
        for (const double odds : strong_odds) {
            least_ = std::log(odds);
            choose_core();
            share_tones();
            shapes_.assign(core_.size() + 1, prior_);
            best_ = -1e300;
            climb();
            nodes_ = 0;
            found_.clear();
            descend(0, 0, 0.0, log_sum(prior_));
            if (nodes_ < most_nodes_) break;
        }
        const bool cut = nodes_ >= most_nodes_;
        if (cut) found_.push_back(climbed_);
        std::erase_if(found_, [&](const Joint& joint) { return joint.log_weight < best_ - margin; });
        return {std::move(found_), least_, least_ > std::log(strong_odds[0]), cut};
    }

  private:
    void choose_core() {
        std::vector<std::pair<double, int>> order;
        for (int index = 0; index < static_cast<int>(hypotheses_.size()); ++index) {
            const Hypothesis& hypothesis = hypotheses_[static_cast<std::size_t>(index)];
            if (hypothesis.candidates[0].upper < least_) continue;
            // Families last: they live on what the declared rates leave.
            const bool family = hypothesis.fewest_tones > 1;
            order.emplace_back(family ? 1e6 + hypothesis.twin : -hypothesis.candidates[0].upper, index);
        }
        std::sort(order.begin(), order.end());
        core_.clear();
        for (const auto& [key, index] : order) core_.push_back(index);
    }

    // The most that one tone can add in any assignment of the hypotheses from `depth` on: its gain and its part
    // of the assignment's base (a negative number, so a assignment with fewer tones free is worth even less).
    void share_tones() {
        shares_.assign(core_.size() + 1, std::vector<double>(used_.size(), 0.0));
        for (std::size_t depth = core_.size(); depth-- > 0;) {
            shares_[depth] = shares_[depth + 1];
            for (const Candidate& candidate : hypothesis_at(depth).candidates) {
                const double base = candidate.bound.base / static_cast<double>(candidate.assignment.size());
                for (std::size_t i = 0; i < candidate.assignment.size(); ++i) {
                    double& share = shares_[depth][static_cast<std::size_t>(candidate.assignment[i].tone)];
                    share = std::max(share, candidate.bound.gain[i] + std::min(base, 0.0));
                }
            }
        }
    }

    Hypothesis& hypothesis_at(std::size_t depth) { return hypotheses_[static_cast<std::size_t>(core_[depth])]; }

    // By depth: the most that hypotheses from there on can add, in logs, to what is chosen.
    void bound_rest(std::size_t depth, std::vector<double>& rest) {
        rest.assign(core_.size() + 1, 0.0);
        for (std::size_t i = core_.size(); i-- > depth;) {
            double by_tone = 0.0;
            for (std::size_t tone = 0; tone < used_.size(); ++tone)
                if (!used_[tone]) by_tone += shares_[i][tone];
            rest[i] = std::min(by_tone, rest[i + 1] + hypothesis_at(i).upper(used_));
        }
    }

    int choice_of_twin(const Hypothesis& hypothesis) const {
        if (hypothesis.twin < 0) return -2;
        for (const Choice& choice : choices_)
            if (choice.hypothesis == hypothesis.twin) return choice.candidate;
        return -1;
    }

    const Weight* strong_weight(Hypothesis& hypothesis, int candidate, PartMask part) {
        if (part == 0 || hypothesis.candidates[static_cast<std::size_t>(candidate)].upper < least_) return nullptr;
        const Weight* weight = hypothesis.weight_of(candidate, part);
        return weight && weight->log_scale >= least_ ? weight : nullptr;
    }

    void use(const Hypothesis& hypothesis, const Choice& choice, char value) {
        const Assignment& assignment = hypothesis.candidates[static_cast<std::size_t>(choice.candidate)].assignment;
        for (std::size_t k = 0; k < assignment.size(); ++k)
            if (choice.part >> k & 1u) used_[static_cast<std::size_t>(assignment[k].tone)] = value;
    }

    // A first good explanation, so that the search can prune from the start: always add what gains most.
    void climb() {
        CardShape shape = prior_, next;
        double log_scale = 0.0, now = log_sum(shape);
        climbed_ = {now, {}};
        std::vector<char> taken(core_.size(), 0);
        for (;;) {
            double most = now;
            Choice chosen{-1, 0, 0};
            std::size_t at = 0;
            choices_ = climbed_.choices;
            for (std::size_t depth = 0; depth < core_.size(); ++depth) {
                if (taken[depth]) continue;
                Hypothesis& hypothesis = hypothesis_at(depth);
                for (int i = hypothesis.first_allowed(choice_of_twin(hypothesis));
                     i < static_cast<int>(hypothesis.candidates.size()); ++i) {
                    if (hypothesis.candidates[static_cast<std::size_t>(i)].upper + now <= most) break;
                    const PartMask part = hypothesis.free_part(i, used_);
                    const Weight* weight = strong_weight(hypothesis, i, part);
                    if (!weight) continue;
                    double total = now + weight->log_scale;
                    if (!weight->flat) {
                        multiply(shape, *weight, next);
                        total = log_scale + weight->log_scale + log_sum(next);
                    }
                    if (total <= most) continue;
                    most = total;
                    chosen = {core_[depth], i, part};
                    at = depth;
                }
            }
            if (chosen.hypothesis < 0) break;
            Hypothesis& hypothesis = hypothesis_at(at);
            const Weight* weight = hypothesis.weight_of(chosen.candidate, chosen.part);
            multiply(shape, *weight, next);
            shape.swap(next);
            log_scale += weight->log_scale;
            now = most;
            taken[at] = 1;
            use(hypothesis, chosen, 1);
            climbed_.choices.push_back(chosen);
            climbed_.log_weight = now;
        }
        std::fill(used_.begin(), used_.end(), 0);
        choices_.clear();
        in_order(climbed_);
        best_ = std::max(best_, climbed_.log_weight);
    }

    // The same choices as the search would come to them: the earlier hypothesis takes a tone of both.
    void in_order(Joint& joint) {
        const auto depth_of = [&](const Choice& choice) {
            return std::find(core_.begin(), core_.end(), choice.hypothesis) - core_.begin();
        };
        std::sort(joint.choices.begin(), joint.choices.end(),
                  [&](const Choice& a, const Choice& b) { return depth_of(a) < depth_of(b); });
        Joint ordered;
        CardShape shape = prior_, next;
        double log_scale = 0.0;
        for (const Choice& choice : joint.choices) {
            Hypothesis& hypothesis = hypotheses_[static_cast<std::size_t>(choice.hypothesis)];
            const Choice again{choice.hypothesis, choice.candidate, hypothesis.free_part(choice.candidate, used_)};
            const Weight* weight = strong_weight(hypothesis, again.candidate, again.part);
            if (!weight) continue;
            multiply(shape, *weight, next);
            shape.swap(next);
            log_scale += weight->log_scale;
            use(hypothesis, again, 1);
            ordered.choices.push_back(again);
        }
        ordered.log_weight = log_scale + log_sum(shape);
        joint = std::move(ordered);
        std::fill(used_.begin(), used_.end(), 0);
    }

    // What is chosen is a joint explanation as it stands; then one more choice, from `depth` on.
    // `log_weight` = `log_scale` + log Σ shapes_[level].
    void descend(std::size_t depth, std::size_t level, double log_scale, double log_weight) {
        best_ = std::max(best_, log_weight);
        if (log_weight >= best_ - margin) found_.push_back({log_weight, choices_});
        std::vector<double> rest;
        bound_rest(depth, rest);
        for (std::size_t at = depth; at < core_.size(); ++at) {
            if (log_weight + rest[at] < best_ - margin) return;
            Hypothesis& hypothesis = hypothesis_at(at);
            for (int i = hypothesis.first_allowed(choice_of_twin(hypothesis));
                 i < static_cast<int>(hypothesis.candidates.size()); ++i) {
                const double upper = hypothesis.candidates[static_cast<std::size_t>(i)].upper;
                if (log_weight + upper + rest[at + 1] < best_ - margin) break;
                const Choice choice{core_[at], i, hypothesis.free_part(i, used_)};
                const Weight* weight = strong_weight(hypothesis, i, choice.part);
                if (!weight || log_weight + weight->log_scale + rest[at + 1] < best_ - margin) continue;
                if (++nodes_ >= most_nodes_) return;
                double child_weight = log_weight + weight->log_scale;
                std::size_t child_level = level;
                if (!weight->flat) {
                    child_level = level + 1;
                    multiply(shapes_[level], *weight, shapes_[child_level]);
                    child_weight = log_scale + weight->log_scale + log_sum(shapes_[child_level]);
                    if (child_weight + rest[at + 1] < best_ - margin) continue;
                }
                use(hypothesis, choice, 1);
                choices_.push_back(choice);
                descend(at + 1, child_level, log_scale + weight->log_scale, child_weight);
                choices_.pop_back();
                use(hypothesis, choice, 0);
                if (nodes_ >= most_nodes_) return;
            }
        }
    }

    std::vector<Hypothesis>& hypotheses_;
    const int most_nodes_;
    std::vector<int> core_;
    std::vector<char> used_;
    CardShape prior_;
    std::vector<CardShape> shapes_;            ///< by depth
    std::vector<std::vector<double>> shares_;  ///< by depth and tone
    std::vector<Choice> choices_;
    std::vector<Joint> found_;
    Joint climbed_;
    double best_ = -1e300, least_ = 0.0;
    int nodes_ = 0;
};

}  // namespace

void multiply(const CardShape& by, const Weight& weight, CardShape& product) {
    if (weight.flat) {
        product = by;
        return;
    }
    product.resize(by.size());
    for (std::size_t i = 0; i < by.size(); ++i) product[i] = by[i] * weight.shape[i];
}

SearchResult search_joints(std::vector<Hypothesis>& hypotheses, std::size_t tones, const CardGrid& grid,
                           int most_nodes) {
    return Search(hypotheses, tones, grid, most_nodes).run();
}

}  // namespace tattletone::match
