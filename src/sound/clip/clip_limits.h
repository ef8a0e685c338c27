#pragma once

#include <cstdint>

/// What a clip may claim of itself and cost. A stranger sends it; everything beyond is refused with a sentence
/// or left out with a notice.
namespace tattletone::sound::clip_limits {

/// Telephones sample 8000 times a second, loggers of the mains some hundred times, recorders for bats up to 500 000.
/// The analysis needs 40 Hz to be below half the rate.
constexpr double lowest_rate_hz = 200.0, highest_rate_hz = 500000.0;
constexpr int most_channels = 64;

constexpr double longest_seconds = 24.0 * 3600.0;
/// Of coded sound, over all channels: 12 hours at 48 kHz are always allowed, more only where the file is as large
/// as speech coders of 6 kbit/s make it (64 samples a byte). Silence unfolds without end from a few bytes.
constexpr double free_samples = 2147483648.0, samples_a_byte = 64.0;

/// Of damage and of gaps: what is left between more of them is nothing to analyse.
constexpr std::size_t most_faults = 10000;

}  // namespace tattletone::sound::clip_limits
