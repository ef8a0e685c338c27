#pragma once

#include <cstdint>
#include <memory>

#include "sound/clip/byte_stream.h"

struct AVIOContext;

namespace tattletone::sound {

constexpr std::uint64_t decoder_header_bytes = 64u << 20;  // an index of 24 hours, tags with pictures

/// A clip's bytes as the general decoder gets them: an honest header is small, and the rest is read about once.
/// Whoever asks for much more is told that the file ends.
struct DecoderBytes {
    ByteStream stream;
    std::uint64_t read = 0, most = decoder_header_bytes;

    void header_is_read();
};

struct FreeIo {
    void operator()(AVIOContext* io) const;
};
using DecoderIo = std::unique_ptr<AVIOContext, FreeIo>;

/// Nothing where memory is short. `bytes` has to stay where it is.
DecoderIo make_io(DecoderBytes& bytes);

}  // namespace tattletone::sound
