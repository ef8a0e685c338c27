#include "match/candidates.h"

#include <algorithm>
#include <cmath>

namespace tattletone {
namespace {

constexpr std::size_t most_pairs = 64;
constexpr double least_log_odds = -9.2;
constexpr std::size_t most_modes = 200;

double upper_of(const Bound& bound) {
    double sum = bound.base;
    for (const double gain : bound.gain) sum += gain;
    return sum;
}

}  // namespace

PartMask Contender::free_part(int candidate, const std::vector<char>& used) const {
    const Mode& mode = candidates[static_cast<std::size_t>(candidate)].mode;
    PartMask part = 0;
    for (std::size_t i = 0; i < mode.size(); ++i)
        if (!used[static_cast<std::size_t>(mode[i].tone)]) part |= PartMask{1} << i;
    return part;
}

const Weight* Contender::weight_of(int candidate, PartMask part) {
    const Mode& mode = candidates[static_cast<std::size_t>(candidate)].mode;
    weights_.resize(candidates.size());
    auto& known = weights_[static_cast<std::size_t>(candidate)];
    auto found = known.find(part);
    if (found == known.end()) {
        Mode seen;
        for (std::size_t i = 0; i < mode.size(); ++i)
            if (part >> i & 1u) seen.push_back(mode[i]);
        Weight weight;
        if (fewest_tones == 1 && part == 0)
            weight = weigher->weigh_hidden(mode);
        else if (seen.size() >= fewest_tones)
            weight = weigher->weigh(seen);
        found = known.emplace(part, std::move(weight)).first;
    }
    return found->second.log_scale > -30.0 ? &found->second : nullptr;
}

double Contender::upper(const std::vector<char>& used) const {
    double best = 0.0;
    for (const Candidate& candidate : candidates) {
        if (candidate.upper <= best) break;
        double sum = candidate.bound.base;
        bool whole = true;
        for (std::size_t i = 0; i < candidate.mode.size(); ++i) {
            if (!used[static_cast<std::size_t>(candidate.mode[i].tone)])
                sum += candidate.bound.gain[i];
            else
                whole = false;
        }
        best = std::max(best, whole ? candidate.whole : sum);
    }
    return best;
}

int Contender::first_allowed(int choice_of_twin) const {
    if (twin < 0) return 0;
    return choice_of_twin < 0 ? static_cast<int>(candidates.size()) : choice_of_twin + 1;
}

std::vector<Contender> contenders_of(const Scene& scene, const std::vector<Singer>& singers,
                                     const CardGrid& grid) {
    std::vector<Contender> list;
    int first_family = -1;
    for (int index = 0; index < static_cast<int>(singers.size()); ++index) {
        const Singer& singer = singers[static_cast<std::size_t>(index)];
        const bool family = singer.kind == SingerKind::family;
        if (family && first_family >= 0) {
            // A twin of the first: the same modes.
            list.push_back(list[static_cast<std::size_t>(first_family)]);
            list.back().singer = index;
            list.back().twin = first_family;
            continue;
        }
        Contender contender;
        contender.singer = index;
        contender.fewest_tones = family ? 2 : 1;
        contender.weigher = std::make_shared<Weigher>(scene, singer, grid);
        for (Mode& mode : modes_of(scene, singer)) {
            if (mode.size() > most_pairs) {
                contender.tones_left_out = std::max(contender.tones_left_out, mode.size() - most_pairs);
                mode.resize(most_pairs);
            }
            Candidate candidate;
            candidate.mode = std::move(mode);
            candidate.bound = contender.weigher->bound(candidate.mode);
            candidate.upper = upper_of(candidate.bound);
            if (candidate.upper > least_log_odds) contender.candidates.push_back(std::move(candidate));
        }
        const auto by_upper = [](const Candidate& a, const Candidate& b) { return a.upper > b.upper; };
        std::sort(contender.candidates.begin(), contender.candidates.end(), by_upper);
        if (contender.candidates.size() > most_modes) {
            for (auto left = contender.candidates.begin() + most_modes;
                 left != contender.candidates.end() && left->upper > contender.left_out; ++left)
                contender.left_out = std::max(contender.left_out, contender.weigher->weigh(left->mode).log_scale);
            contender.candidates.resize(most_modes);
        }
        // A whole mode's weight is known exactly; for a single tone that is all there is to bound.
        for (std::size_t i = 0; i < contender.candidates.size(); ++i) {
            Candidate& candidate = contender.candidates[i];
            candidate.whole = contender.weigher->weigh(candidate.mode).log_scale;
            if (candidate.mode.size() > 1) continue;
            candidate.upper = candidate.whole;
            candidate.bound.base = candidate.whole - candidate.bound.gain[0];
        }
        std::erase_if(contender.candidates, [](const Candidate& c) { return c.upper <= least_log_odds; });
        std::sort(contender.candidates.begin(), contender.candidates.end(), by_upper);
        if (contender.candidates.empty()) continue;
        if (family) first_family = static_cast<int>(list.size());
        list.push_back(std::move(contender));
    }
    return list;
}

}  // namespace tattletone
