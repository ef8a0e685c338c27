#pragma once

#include <vector>

#include "tones/join/unit_tones.h"
#include "tones/judge/rejection_limits.h"

namespace tattletone::tones {

/// Sets `far_fall` of the tones that takes near the board and a far one can tell.
void add_falls(std::vector<UnitTone>& tones, const std::vector<Take>& near, const std::vector<Take>& far,
               const RejectionLimits& limits);

}  // namespace tattletone::tones
