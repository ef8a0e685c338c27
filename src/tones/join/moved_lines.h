#pragma once

#include <cstddef>
#include <vector>

#include "tones/judge/rejection_limits.h"
#include "tones/tones.h"

namespace tattletone::tones {

/// A line of one recording and one of another that have not met: by how much, in ln hz, the first is above the other.
struct MovedPair {
    double by = 0.0, sd = 0.0;
    std::size_t first = 0, second = 0;
};

/// The most worthy set of pairs that have moved by one share, `most` in ln hz, no line twice. What moves has moved on
/// by the time of another recording, all its lines alike. Lines with `met` set take no part; of very many pairs none is
/// looked at.
std::vector<MovedPair> moved_alike(const std::vector<const Tone*>& first, const std::vector<char>& met_first,
                                   const std::vector<const Tone*>& second, const std::vector<char>& met_second,
                                   double most, const RejectionLimits& limits);

/// What the pairs are worth as evidence that they are one source: 1 each where both lines move, else ½, for a steady
/// line may be a crystal's, which stays.
double worth_of(const std::vector<MovedPair>& pairs, const std::vector<const Tone*>& first,
                const std::vector<const Tone*>& second);

/// Whether any of these lines is seen to move, or all moved by so little that they may have drifted meanwhile. Steady
/// lines farther apart are two sources, or one that was set to another rate.
bool may_have_moved(const std::vector<MovedPair>& pairs, const std::vector<const Tone*>& first,
                    const std::vector<const Tone*>& second);

}  // namespace tattletone::tones
