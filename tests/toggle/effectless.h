#pragma once

#include <string>

#include "sound/recording.h"
#include "support/names.h"
#include "support/random.h"

namespace tattletone::scenes {

/// Recordings in which no part does anything: `kind` counts round noise, speech, music, mains with a fan, a neighbour
/// that switches itself on and off, and real rooms of ../shared/real joined to the length (noise where these are
/// absent).
inline constexpr int effectless_kinds = 6;
sound::Recording effectless(int kind, double seconds, Random& random);

}  // namespace tattletone::scenes
