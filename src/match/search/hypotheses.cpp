#include "match/search/hypotheses.h"

#include <algorithm>
#include <cmath>

namespace tattletone::match {
namespace {

constexpr std::size_t most_line_matches = 64;
constexpr double least_log_odds = -9.2;
constexpr std::size_t most_assignments = 200;

double upper_of(const Bound& bound) {
    double sum = bound.base;
    for (const double gain : bound.gain) sum += gain;
    return sum;
}

}  // namespace

PartMask Hypothesis::free_part(int candidate, const std::vector<char>& used) const {
    const Assignment& assignment = candidates[static_cast<std::size_t>(candidate)].assignment;
    PartMask part = 0;
    for (std::size_t i = 0; i < assignment.size(); ++i)
        if (!used[static_cast<std::size_t>(assignment[i].tone)]) part |= PartMask{1} << i;
    return part;
}

const Weight* Hypothesis::weight_of(int candidate, PartMask part) {
    const Assignment& assignment = candidates[static_cast<std::size_t>(candidate)].assignment;
    weights_.resize(candidates.size());
    auto& known = weights_[static_cast<std::size_t>(candidate)];
    auto found = known.find(part);
    if (found == known.end()) {
        Assignment seen;
        for (std::size_t i = 0; i < assignment.size(); ++i)
            if (part >> i & 1u) seen.push_back(assignment[i]);
        Weight weight;
        // Without its comb an assignment is another one.
        const bool other = Weigher::has_comb(assignment) && !Weigher::has_comb(seen);
        if (other)
            weight = {};
        else if (fewest_tones == 1 && part == 0)
            weight = weigher->weigh_hidden(assignment);
        else if (seen.size() >= fewest_tones)
            weight = weigher->weigh(seen);
        found = known.emplace(part, std::move(weight)).first;
    }
    return found->second.log_scale > -30.0 ? &found->second : nullptr;
}

double Hypothesis::upper(const std::vector<char>& used) const {
    double best = 0.0;
    for (const Candidate& candidate : candidates) {
        if (candidate.upper <= best) break;
        double sum = candidate.bound.base;
        bool whole = true;
        for (std::size_t i = 0; i < candidate.assignment.size(); ++i) {
            if (!used[static_cast<std::size_t>(candidate.assignment[i].tone)])
                sum += candidate.bound.gain[i];
            else
                whole = false;
        }
        best = std::max(best, whole ? candidate.whole : sum);
    }
    return best;
}

int Hypothesis::first_allowed(int choice_of_twin) const {
    if (twin < 0) return 0;
    return choice_of_twin < 0 ? static_cast<int>(candidates.size()) : choice_of_twin + 1;
}

std::vector<Hypothesis> hypotheses_of(const Observations& observations, const std::vector<Source>& sources,
                                      const CardGrid& grid) {
    std::vector<Hypothesis> list;
    int first_family = -1;
    for (int index = 0; index < static_cast<int>(sources.size()); ++index) {
        const Source& source = sources[static_cast<std::size_t>(index)];
        const bool family = source.neighbour == Neighbour::family;
        if (family && first_family >= 0) {
            // A twin of the first: the same assignments.
            list.push_back(list[static_cast<std::size_t>(first_family)]);
            list.back().source = index;
            list.back().twin = first_family;
            continue;
        }
        Hypothesis hypothesis;
        hypothesis.source = index;
        hypothesis.fewest_tones = source.fewest_tones;
        hypothesis.weigher = std::make_shared<Weigher>(observations, source, grid);
        for (Assignment& assignment : assignments_of(observations, source)) {
            if (assignment.size() > most_line_matches) {
                hypothesis.tones_left_out = std::max(hypothesis.tones_left_out, assignment.size() - most_line_matches);
                assignment.resize(most_line_matches);
            }
            Candidate candidate;
            candidate.assignment = std::move(assignment);
            candidate.bound = hypothesis.weigher->bound(candidate.assignment);
            candidate.upper = upper_of(candidate.bound);
            if (candidate.upper > least_log_odds) hypothesis.candidates.push_back(std::move(candidate));
        }
        const auto by_upper = [](const Candidate& a, const Candidate& b) { return a.upper > b.upper; };
        std::sort(hypothesis.candidates.begin(), hypothesis.candidates.end(), by_upper);
        if (hypothesis.candidates.size() > most_assignments) {
            for (auto left = hypothesis.candidates.begin() + most_assignments;
                 left != hypothesis.candidates.end() && left->upper > hypothesis.left_out; ++left)
                hypothesis.left_out =
                    std::max(hypothesis.left_out, hypothesis.weigher->weigh(left->assignment).log_scale);
            hypothesis.candidates.resize(most_assignments);
        }
        // A whole assignment's weight is known exactly; for a single tone that is all there is to bound.
        for (std::size_t i = 0; i < hypothesis.candidates.size(); ++i) {
            Candidate& candidate = hypothesis.candidates[i];
            candidate.whole = hypothesis.weigher->weigh(candidate.assignment).log_scale;
            if (candidate.assignment.size() > 1) continue;
            candidate.upper = candidate.whole;
            candidate.bound.base = candidate.whole - candidate.bound.gain[0];
        }
        std::erase_if(hypothesis.candidates, [](const Candidate& c) { return c.upper <= least_log_odds; });
        std::sort(hypothesis.candidates.begin(), hypothesis.candidates.end(), by_upper);
        if (hypothesis.candidates.empty()) continue;
        if (family) first_family = static_cast<int>(list.size());
        list.push_back(std::move(hypothesis));
    }
    return list;
}

}  // namespace tattletone::match
