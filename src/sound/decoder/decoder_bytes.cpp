#include "sound/decoder/decoder_bytes.h"

#include <cstdio>
#include <new>

extern "C" {
#include <libavformat/avio.h>
#include <libavutil/error.h>
#include <libavutil/mem.h>
}

namespace tattletone::sound {
namespace {

constexpr int block_bytes = 1 << 16;
constexpr std::uint64_t reads_a_byte = 16;  // a container whose tracks lie far apart is read in blocks

int read_bytes(void* opaque, std::uint8_t* to, int bytes) {
    auto& [stream, read, most] = *static_cast<DecoderBytes*>(opaque);
    if (read >= most) return AVERROR_EOF;
    try {
        const std::size_t got = stream.read(to, static_cast<std::size_t>(bytes));
        read += got;
        return got == 0 ? AVERROR_EOF : static_cast<int>(got);
    } catch (const std::bad_alloc&) {  // not through a library that knows no exceptions
        return AVERROR(ENOMEM);
    }
}

std::int64_t seek_bytes(void* opaque, std::int64_t offset, int whence) {
    auto& stream = static_cast<DecoderBytes*>(opaque)->stream;
    if (!stream.size()) return -1;
    const auto size = static_cast<std::int64_t>(*stream.size());
    if ((whence & AVSEEK_SIZE) != 0) return size;
    whence &= ~AVSEEK_FORCE;
    if (whence == SEEK_CUR) offset += static_cast<std::int64_t>(stream.position());
    if (whence == SEEK_END) offset += size;
    if (offset < 0 || !stream.seek(static_cast<std::uint64_t>(offset))) return -1;
    return offset;
}

}  // namespace

void DecoderBytes::header_is_read() {
    most = stream.size() ? decoder_header_bytes + reads_a_byte * *stream.size() : UINT64_MAX;
}

void FreeIo::operator()(AVIOContext* io) const {
    av_freep(&io->buffer);
    avio_context_free(&io);
}

DecoderIo make_io(DecoderBytes& bytes) {
    auto* buffer = static_cast<unsigned char*>(av_malloc(block_bytes));
    if (buffer == nullptr) return nullptr;
    DecoderIo io(avio_alloc_context(buffer, block_bytes, 0, &bytes, read_bytes, nullptr, seek_bytes));
    if (!io) av_free(buffer);
    if (io) io->seekable = bytes.stream.seekable() ? AVIO_SEEKABLE_NORMAL : 0;
    return io;
}

}  // namespace tattletone::sound
