#pragma once

#include <cmath>
#include <cstddef>
#include <span>

namespace tattletone::sound {

constexpr float loudest_sample = 8.0f;    // 18 dB over full scale: honest float sound exceeds it by less
constexpr float softest_sample = 1e-15f;  // -300 dBFS: products of softer ones are denormal, and slow by a factor of 30

/// What stands in a sound that is to be analysed: finite numbers of a size that sound has. Others become zero; how many
/// of them were no numbers or too loud. Too soft ones are not counted.
inline std::size_t make_sane(std::span<float> samples) noexcept {
    std::size_t nonsense = 0;
    for (float& sample : samples) {
        const float size = std::abs(sample);
        const bool sound = size <= loudest_sample;  // not so for NaN
        nonsense += !sound;
        sample = sound && size >= softest_sample ? sample : 0.0f;
    }
    return nonsense;
}

}  // namespace tattletone::sound
