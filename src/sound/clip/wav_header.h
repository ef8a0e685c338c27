#pragma once

#include <cstdint>
#include <optional>

#include "base/result.h"
#include "sound/clip/byte_stream.h"

namespace tattletone::sound {

enum class SampleKind { u8, s16, s24, s32, f32, f64 };

/// RIFF 1991, WAVEFORMATEXTENSIBLE (Microsoft) and RF64/BW64 (EBU Tech 3306, ITU-R BS.2088).
struct WavHeader {
    SampleKind kind = SampleKind::s16;
    int channels = 1;
    double sample_rate_hz = 0.0;
    std::uint64_t data_offset = 0;
    std::optional<std::uint64_t> data_bytes;      ///< none: until the end
    std::optional<std::uint64_t> promised_bytes;  ///< what the header says, where the file is shorter
    bool length_unknown = false;                  ///< 0 or the largest number stands for the length
    std::size_t frame_bytes() const;
};

/// Leaves the stream at the first sample. None (and the stream at its start) for whatever is not a
/// little-endian wav of linear samples: that is for the general decoder.
Result<std::optional<WavHeader>> read_wav_header(ByteStream& stream, const std::string& path);

}  // namespace tattletone::sound
