#include "sound/clip/wav_header.h"

#include <array>
#include <cstring>

#include "sound/clip/clip_errors.h"

namespace tattletone::sound {
namespace {

constexpr std::uint32_t unknown_32 = 0xFFFFFFFFu;
constexpr std::uint16_t tag_pcm = 1, tag_float = 3, tag_extensible = 0xFFFE;

std::uint64_t little_endian(const unsigned char* bytes, int count) {
    std::uint64_t value = 0;
    for (int i = count - 1; i >= 0; --i) value = value << 8 | bytes[i];
    return value;
}

struct ChunkHead {
    std::array<char, 4> id{};
    std::uint32_t bytes = 0;
    bool is(const char* name) const { return std::memcmp(id.data(), name, 4) == 0; }
};

std::optional<ChunkHead> next_chunk(ByteStream& stream) {
    unsigned char raw[8];
    if (stream.read(raw, sizeof raw) != sizeof raw) return std::nullopt;
    ChunkHead head;
    std::memcpy(head.id.data(), raw, 4);
    head.bytes = static_cast<std::uint32_t>(little_endian(raw + 4, 4));
    return head;
}

bool skip(ByteStream& stream, std::uint64_t bytes) {
    if (stream.seekable()) {
        const std::uint64_t to = stream.position() + bytes;
        return to <= *stream.size() && stream.seek(to);
    }
    std::array<char, 4096> waste;
    while (bytes > 0) {
        const std::size_t part = bytes < waste.size() ? static_cast<std::size_t>(bytes) : waste.size();
        if (stream.read(waste.data(), part) != part) return false;
        bytes -= part;
    }
    return true;
}

std::optional<SampleKind> kind_of(bool is_float, int container_bytes) {
    if (is_float && container_bytes == 4) return SampleKind::f32;
    if (is_float && container_bytes == 8) return SampleKind::f64;
    if (is_float) return std::nullopt;
    switch (container_bytes) {
        case 1:
            return SampleKind::u8;
        case 2:
            return SampleKind::s16;
        case 3:
            return SampleKind::s24;
        case 4:
            return SampleKind::s32;
        default:
            return std::nullopt;
    }
}

/// None where the samples are not linear.
Result<std::optional<WavHeader>> read_format(ByteStream& stream, std::uint32_t bytes, const std::string& path) {
    unsigned char raw[40] = {};
    const std::size_t wanted = bytes < sizeof raw ? bytes : sizeof raw;
    if (bytes < 16 || stream.read(raw, wanted) != wanted) {
        return clip_errors::bad_header(path, "its 'fmt ' part is cut short");
    }
    auto tag = static_cast<std::uint16_t>(little_endian(raw, 2));
    if (tag == tag_extensible) {
        static constexpr unsigned char guid_tail[14] = {0x00, 0x00, 0x00, 0x00, 0x10, 0x00, 0x80,
                                                        0x00, 0x00, 0xAA, 0x00, 0x38, 0x9B, 0x71};
        if (wanted < 40 || std::memcmp(raw + 26, guid_tail, sizeof guid_tail) != 0) {
            return std::optional<WavHeader>();
        }
        tag = static_cast<std::uint16_t>(little_endian(raw + 24, 2));
    }
    if (tag != tag_pcm && tag != tag_float) return std::optional<WavHeader>();
    WavHeader header;
    header.channels = static_cast<int>(little_endian(raw + 2, 2));
    header.sample_rate_hz = static_cast<double>(little_endian(raw + 4, 4));
    const int align = static_cast<int>(little_endian(raw + 12, 2));
    const int bits = static_cast<int>(little_endian(raw + 14, 2));
    if (header.channels == 0) return clip_errors::bad_header(path, "it says 0 channels");
    if (header.sample_rate_hz == 0.0) return clip_errors::bad_header(path, "it says 0 samples a second");
    // The block alignment tells the container: 20 valid bits may sit in three or in four bytes.
    const int by_bits = (bits + 7) / 8;
    const int by_align = align % header.channels == 0 ? align / header.channels : 0;
    const auto kind = kind_of(tag == tag_float, by_align >= by_bits && by_align > 0 ? by_align : by_bits);
    if (!kind) return std::optional<WavHeader>();
    header.kind = *kind;
    if (!skip(stream, bytes - wanted + bytes % 2)) return clip_errors::cut_before_sound(path);
    return std::optional<WavHeader>(header);
}

/// An honest 'data' of length 0 is followed by the end or by further parts that fit the file.
bool only_parts_follow(ByteStream& stream) {
    const std::uint64_t start = stream.position();
    bool honest = true;
    while (honest && stream.position() < *stream.size()) {
        const auto part = next_chunk(stream);
        honest = part.has_value();
        if (!part) break;
        for (char c : part->id) honest = honest && c >= ' ' && c <= '~';
        honest = honest && skip(stream, part->bytes);
        if (honest && part->bytes % 2 == 1) skip(stream, 1);
    }
    stream.seek(start);
    return honest;
}

void settle_length(WavHeader& header, ByteStream& stream, std::uint64_t said) {
    header.data_offset = stream.position();
    const bool largest = said >= unknown_32 && (said == unknown_32 || said == UINT64_MAX);
    if (!stream.seekable()) {
        header.length_unknown = said == 0 || largest;
        if (!header.length_unknown) header.data_bytes = said;
        return;
    }
    const std::uint64_t there = *stream.size() - stream.position();
    header.length_unknown = (largest && there < said) || (said == 0 && !only_parts_follow(stream));
    header.data_bytes = header.length_unknown || said > there ? there : said;
    if (!header.length_unknown && said > there) header.promised_bytes = said;
}

}  // namespace

std::size_t WavHeader::frame_bytes() const {
    static constexpr std::size_t bytes[] = {1, 2, 3, 4, 4, 8};
    return bytes[static_cast<int>(kind)] * static_cast<std::size_t>(channels);
}

Result<std::optional<WavHeader>> read_wav_header(ByteStream& stream, const std::string& path) {
    const auto for_decoder = [&]() {
        stream.seek(0);
        return std::optional<WavHeader>();
    };
    unsigned char top[12];
    if (stream.read(top, sizeof top) != sizeof top || std::memcmp(top + 8, "WAVE", 4) != 0) {
        return for_decoder();
    }
    const bool wide = std::memcmp(top, "RF64", 4) == 0 || std::memcmp(top, "BW64", 4) == 0;
    if (!wide && std::memcmp(top, "RIFF", 4) != 0) return for_decoder();

    std::optional<std::uint64_t> wide_data_bytes;
    std::optional<WavHeader> header;
    while (const auto chunk = next_chunk(stream)) {
        if (chunk->is("fmt ")) {
            auto format = read_format(stream, chunk->bytes, path);
            if (!format) return format.error();
            if (!*format) return for_decoder();
            header = **format;
            stream.stop_keeping();
        } else if (chunk->is("data")) {
            if (!header) return for_decoder();
            const bool see_wide = chunk->bytes == unknown_32 && wide_data_bytes;
            settle_length(*header, stream, see_wide ? *wide_data_bytes : chunk->bytes);
            return header;
        } else if (wide && chunk->is("ds64") && chunk->bytes >= 16) {
            unsigned char sizes[16];
            if (stream.read(sizes, sizeof sizes) != sizeof sizes) break;
            wide_data_bytes = little_endian(sizes + 8, 8);
            if (!skip(stream, chunk->bytes - sizeof sizes + chunk->bytes % 2)) break;
        } else if (!skip(stream, std::uint64_t{chunk->bytes} + chunk->bytes % 2)) {
            break;
        }
    }
    return clip_errors::cut_before_sound(path);
}

}  // namespace tattletone::sound
