#pragma once

#include <span>
#include <string>
#include <vector>

namespace tattletone::sound {

/// How several channels become one: `sum of weight times channel`.
struct ChannelChoice {
    std::vector<float> weights;  ///< one a channel
    std::string reason;          ///< a sentence for the user, without the final full stop
};

/// Decides by the first seconds of every channel, interleaved. Channels that are the same or dead
/// are settled first. Of the rest each channel, their mean and (for two) half their difference
/// stand for choice. Where lines of at least 9 dB over the floor are common to all live channels,
/// the mixture must keep each of them within 1.5 dB and gain 1.5 dB against the noise (two
/// incoherent noises: 3 dB); without such lines nothing shows that the channels add up, and they
/// are never mixed: the channel with the lower floor above 1 kHz is taken if it is lower by more
/// than 1.5 dB, else the first.
ChannelChoice choose_channels(std::span<const float> interleaved, std::size_t channels, double sample_rate_hz);

}  // namespace tattletone::sound
