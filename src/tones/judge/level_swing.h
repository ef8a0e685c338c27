#pragma once

#include <optional>

#include "tones/tones.h"

namespace tattletone::tones {

/// How much a line's level swings while its frequency moves, the noise's share taken off.
struct LevelSwing {
    double db = 0.0;      ///< standard deviation of the level
    double places = 0.0;  ///< how many frequencies with a level of their own the line went through
};

/// Sound from across a room has another level every few hertz, with a standard deviation of 5.6 dB (M. R. Schroeder,
/// "Frequency-correlation functions of frequency responses in rooms", J. Acoust. Soc. Am. 34, 1962: the peaks of a
/// room's response are some 4/T60 apart); what radiates at the microphone has not. None where the line stands still,
/// where noise hides it, or without a history.
std::optional<LevelSwing> level_swing(const Tone& tone, const Tones& found);

}  // namespace tattletone::tones
