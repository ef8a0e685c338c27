#pragma once

#include <memory>
#include <string>

#include "base/result.h"
#include "sound/clip/byte_stream.h"
#include "sound/clip/clip_source.h"

namespace tattletone::sound {

using MadeSource = Result<std::unique_ptr<ClipSource>>;

/// Everything that is not plain wav, through FFmpeg's libraries: the best sound track of the file.
/// Damaged segments are left out and delivered as gaps. Loads the decoder when first called; an
/// error says so where it is not installed.
MadeSource make_decoder_source(ByteStream stream, const std::string& path);

}  // namespace tattletone::sound

/// What the decoder, a library of its own on Linux, is entered by. Takes `stream`, sets `made`.
extern "C" void tattletone_make_decoder_source(tattletone::sound::ByteStream& stream, const std::string& path,
                                               tattletone::sound::MadeSource& made);
