#pragma once

#include <cstddef>

namespace tattletone::tones {

// What the finders of steady lines share, over a whole segment (steady.h) and in its quiet moments (quiet_moments.h).

/// Bins over which the noise floor is taken as flat.
inline constexpr std::size_t floor_block = 128;
/// Candidates may stand so far under the threshold: the fit between bins lifts them by up to 0.9 dB.
inline constexpr double candidate_share = 0.72;
/// A strong line's leakage disturbs a weak one from this share of the weak one's power on.
inline constexpr double leakage_share = 0.1;

}  // namespace tattletone::tones
