#pragma once

#include <memory>

#include "sound/byte_stream.h"
#include "sound/clip_source.h"
#include "sound/wav_header.h"

namespace tattletone {

/// Linear wav without a decoder in between: one large read, one conversion loop.
std::unique_ptr<ClipSource> make_wav_source(ByteStream stream, const WavHeader& header);

}  // namespace tattletone
