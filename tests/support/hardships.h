#pragma once

#include <span>

#include "support/names.h"
#include "support/signals.h"

namespace tattletone::scenes {

/// What real recordings have and the plain simulator has not, one at a time. The numbers are common practice but where
/// a source is named.
enum class Hardship {
    none,
    hand_held,      ///< a hand holds the microphone 3 cm from the board: it sways and trembles
    phone,          ///< automatic gain, and noise suppression that takes what lasts for noise
    spread_clock,   ///< crystals' clocks are spread downwards: lower in the mean by a quarter of a percent
    changing_duty,  ///< pulses and squares change their duty, and with it each harmonic's level
    two_units,      ///< the same part of a second unit sings beside it
    under_load      ///< sings in one of two states, and the sheet does not say so
};
inline constexpr int hardships = 7;
const char* name_of(Hardship hardship);

/// A hand near the board: factors of frequency (Doppler) and of pressure (1/distance), over time.
struct Handling {
    Path frequency, pressure;
};
Handling draw_handling(std::size_t samples, double sample_rate_hz, Random& random);

/// Duty cycle between 0.1 and 0.9, swept to and fro with 0.1 to 1 Hz.
Path draw_duty(std::size_t samples, double sample_rate_hz, Random& random);

/// Noise is what a band holds at its lowest over 1.5 s (R. Martin, "Noise power spectral density estimation based on
/// optimal smoothing and minimum statistics", IEEE Trans. SAP 9, 2001, from memory, without its optimal smoothing); a
/// Wiener gain takes it off, down to -15 dB.
void suppress_noise(std::span<double> signal, double sample_rate_hz);

/// Attack within 20 ms, release within 1.5 s, at most 30 dB of gain.
void apply_automatic_gain(std::span<double> signal, double sample_rate_hz);

}  // namespace tattletone::scenes
