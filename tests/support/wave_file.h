#pragma once

#include <span>
#include <string>
#include <vector>

namespace tattletone::scenes {

/// Plain 16-bit mono wav, for handing scenes to other programs; independent of src/sound on purpose.
bool write_wave(const std::string& path, std::span<const float> samples, double sample_rate_hz);

/// Reads what ffmpeg writes for `-ac 1 -c:a pcm_s16le`. Empty where it cannot.
std::vector<float> read_wave(const std::string& path);

}  // namespace tattletone::scenes
