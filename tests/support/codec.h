#pragma once

#include <string>
#include <vector>

namespace tattletone::scenes {

struct Codec {
    std::string name;  ///< "aac 64"
    std::string encoder, bit_rate, suffix;
    double edge_hz;  ///< nothing is left above; roughly
};

const std::vector<Codec>& codecs();

/// Encodes and decodes through the ffmpeg command, in a folder of its own that is removed afterwards.
/// False and no change where ffmpeg is absent or fails. The length may change by a frame or so.
bool squeeze(std::vector<float>& samples, double sample_rate_hz, const Codec& codec);

}  // namespace tattletone::scenes
