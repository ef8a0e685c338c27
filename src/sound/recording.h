#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

namespace tattletone::sound {

/// One channel of sound, as everything behind `sound/` sees it.
struct Recording {
    std::vector<float> samples;  ///< full scale is ±1; decoders may exceed it a little
    double sample_rate_hz = 0.0;
    std::string origin;                ///< path, "-" or the name of the microphone
    std::string codec;                 ///< "pcm_s16le", "aac", …; "capture" for a microphone
    bool lossy = false;                ///< the codec throws information away (aac, mp3, opus, amr …)
    std::string channel_choice;        ///< which channel and why, empty for a mono source
    std::vector<std::size_t> gaps;     ///< samples were lost before each of these indices, ascending
    std::vector<std::string> notices;  ///< sentences for the user about this clip
    std::uint64_t first_frame = 0;     ///< of live sound: how many samples were heard before it

    double seconds() const { return sample_rate_hz > 0.0 ? static_cast<double>(samples.size()) / sample_rate_hz : 0.0; }
};

}  // namespace tattletone::sound
