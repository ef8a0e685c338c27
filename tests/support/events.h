#pragma once

#include <span>

#include "support/names.h"
#include "support/random.h"

namespace tattletone::scenes {

/// Sounds of a room that come and go. `level` is roughly the rms while they sound (peak for knocks).
void add_speech(std::span<double> to, double sample_rate_hz, double level, Random& random);
void add_music(std::span<double> to, double sample_rate_hz, double level, Random& random);
void add_typing(std::span<double> to, double sample_rate_hz, double level, Random& random);
void add_knocks(std::span<double> to, double sample_rate_hz, double level, Random& random);
void add_drops(std::span<double> to, double sample_rate_hz, double level, Random& random);

}  // namespace tattletone::scenes
