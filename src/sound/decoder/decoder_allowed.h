#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>

struct AVFormatContext;
struct AVCodecContext;

/// What the general decoder may do with a clip that a stranger sent: the containers and codecs of
/// phones and recorders, from the bytes that are handed to it, and nothing else.
namespace tattletone::sound::decoder_allowed {

/// Of memory, in one piece, for a clip of so many bytes: an index has 24 bytes for every frame, whose header and
/// content are several bytes. That of 24 hours of AAC at 48 kHz is 97 MB.
std::size_t most_bytes(std::optional<std::uint64_t> clip_bytes);
/// Of each channel, from one packet; flac's longest are 65535.
constexpr int most_frame_samples = 1 << 18;

/// Before the container is opened: lists of containers and codecs, no protocol, no other file, bounds
/// on how much is looked at. False where memory is short.
bool restrict_container(AVFormatContext& container);

/// Is this codec (an AVCodecID) among them?
bool codec(int codec_id);

/// Names of the allowed decoders, for the library's own check.
const std::string& decoder_names();

}  // namespace tattletone::sound::decoder_allowed
