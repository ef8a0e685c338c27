#pragma once

#include <span>

namespace tattletone::session {

struct NearLevel {
    double hz = 0.0;
    double dbfs = -400.0;  ///< 0 for a full-scale sine
};

/// The strongest line within `half_width_hz` of `hz` by one Hann window over all of `samples`:
/// quick, for following a tone that is known while the microphone moves. Exact to 0.1 dB for a
/// steady sine without noise. Nothing (−400 dBFS) for fewer than 64 samples.
NearLevel level_near(std::span<const float> samples, double sample_rate_hz, double hz, double half_width_hz);

}  // namespace tattletone::session
