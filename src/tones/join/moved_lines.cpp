#include "tones/join/moved_lines.h"

#include <algorithm>
#include <cmath>

namespace tattletone::tones {
namespace {

/// More are chance's.
constexpr std::size_t most_moved_pairs = 1000;

bool moves(const Tone& tone) {
    return !tone.steady || std::abs(tone.drift_hz) > 3.0 * tone.drift_hz_sd;
}

/// As much as an oscillator without a crystal drifts while boards warm up (common practice).
constexpr double drifts_share = 0.003;

}  // namespace

bool may_have_moved(const std::vector<MovedPair>& pairs, const std::vector<const Tone*>& first,
                    const std::vector<const Tone*>& second) {
    return std::any_of(pairs.begin(), pairs.end(), [&](const MovedPair& pair) {
        return std::abs(pair.by) < drifts_share || moves(*first[pair.first]) || moves(*second[pair.second]);
    });
}

double worth_of(const std::vector<MovedPair>& pairs, const std::vector<const Tone*>& first,
                const std::vector<const Tone*>& second) {
    double sum = 0.0;
    for (const MovedPair& pair : pairs) sum += moves(*first[pair.first]) && moves(*second[pair.second]) ? 1.0 : 0.5;
    return sum;
}

std::vector<MovedPair> moved_alike(const std::vector<const Tone*>& first, const std::vector<char>& met_first,
                                   const std::vector<const Tone*>& second, const std::vector<char>& met_second,
                                   double most, const RejectionLimits& limits) {
    std::vector<MovedPair> all;
    for (std::size_t i = 0; i < first.size(); ++i)
        for (std::size_t j = 0; j < second.size(); ++j) {
            if (met_first[i] || met_second[j]) continue;
            const Tone &a = *first[i], &b = *second[j];
            const double by = std::log(a.hz / b.hz);
            const double sd = std::hypot(a.hz_sd + a.wander_hz, b.hz_sd + b.wander_hz) / a.hz;
            if (std::abs(by) <= most) all.push_back({by, std::max(sd, limits.room_alike), i, j});
        }
    std::vector<MovedPair> best;
    if (all.size() > most_moved_pairs) return best;
    for (const MovedPair& middle : all) {
        std::vector<MovedPair> alike{middle};
        for (const MovedPair& other : all) {
            const bool taken = std::any_of(alike.begin(), alike.end(), [&](const MovedPair& one) {
                return one.first == other.first || one.second == other.second;
            });
            if (!taken && std::abs(other.by - middle.by) <= 2.0 * (middle.sd + other.sd)) alike.push_back(other);
        }
        if (worth_of(alike, first, second) > worth_of(best, first, second)) best = std::move(alike);
    }
    return best;
}

}  // namespace tattletone::tones
