#pragma once

#include <memory>
#include <string>

#include "result.h"
#include "sound/byte_stream.h"
#include "sound/clip_source.h"

namespace tattletone {

/// Everything that is not plain wav, through FFmpeg's libraries: the best sound track of the file.
/// Damaged stretches are left out and delivered as gaps.
Result<std::unique_ptr<ClipSource>> make_decoder_source(ByteStream stream, const std::string& path);

}  // namespace tattletone
