#pragma once

#include <memory>

#include "sound/clip/byte_stream.h"
#include "sound/clip/clip_source.h"
#include "sound/clip/wav_header.h"

namespace tattletone::sound {

/// Linear wav without a decoder in between: one large read, one conversion loop.
std::unique_ptr<ClipSource> make_wav_source(ByteStream stream, const WavHeader& header);

}  // namespace tattletone::sound
