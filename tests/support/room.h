#pragma once

#include <vector>

#include "support/names.h"
#include "support/signals.h"

namespace tattletone::scenes {

/// A room, its microphone and recorder. Noise that lasts is known by its density; what comes and goes
/// is drawn anew for each recording.
struct Room {
    double sample_rate_hz = 48000.0;
    double card_factor = 1.0;  ///< recorded over true frequency: the sound card's clock
    std::vector<NoiseSource> noise;
    std::vector<Biquad> microphone;  ///< what it does to sound that reaches it

    double mains_hz = 0.0;  ///< 0: no mains lines
    std::vector<double> mains_amplitudes;
    double fan_hz = 0.0;  ///< blade rate; 0: no fan
    double fan_wobble = 0.0;
    std::vector<double> fan_amplitudes;

    double speech_db = 0.0, music_db = 0.0, typing_db = 0.0, knocks_db = 0.0, rain_db = 0.0;
    bool speech = false, music = false, typing = false, knocks = false, rain = false;

    double density(double hz) const;      ///< of the lasting noise with that of 16 bits; mean square per Hz
    double response_db(double hz) const;  ///< of the microphone
    double noise_rms() const;
};

/// From 40 kHz on; below it throws.
Room draw_room(double sample_rate_hz, double card_factor, Random& random);

/// Everything but the board.
Signal make_background(const Room& room, std::size_t samples, Random& random);

}  // namespace tattletone::scenes
