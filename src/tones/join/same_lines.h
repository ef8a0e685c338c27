#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "tones/judge/rejection_limits.h"
#include "tones/tones.h"

namespace tattletone::tones {

/// A tone of one recording and one of another that are the same line; `apart` in units of what they may be.
struct Link {
    double apart = 0.0;
    std::size_t left = 0, right = 0;
};

/// One to one, the nearest first. `left[i]` and `right[j]` ascend in frequency.
std::vector<Link> matched(const std::vector<const Tone*>& left, const std::vector<const Tone*>& right,
                          const RejectionLimits& limits);

/// The level above which it would have been found in a recording that can tell.
std::optional<double> found_above_dbfs(const Tones& found, const Tone& tone);

}  // namespace tattletone::tones
