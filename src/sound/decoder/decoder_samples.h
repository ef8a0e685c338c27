#pragma once

#include <cstddef>
#include <vector>

struct AVFrame;

namespace tattletone::sound {

/// The frame's samples, interleaved, full scale ±1. False, and nothing added, where the format is unknown or
/// the decoder made monsters of damaged bits.
bool append_frame(const AVFrame& frame, std::size_t channels, std::vector<float>& out);

}  // namespace tattletone::sound
