#pragma once

#include <string>

struct AVFormatContext;
struct AVCodecContext;

/// What the general decoder may do with a clip that a stranger sent: the containers and codecs of
/// phones and recorders, from the bytes that are handed to it, and nothing else.
namespace tattletone::decoder_allowed {

/// Before the container is opened: lists of containers and codecs, no protocol, no other file, bounds
/// on how much is looked at. False where memory is short.
bool restrict_container(AVFormatContext& container);

/// Is this codec (an AVCodecID) among them?
bool codec(int codec_id);

/// Names of the allowed decoders, for the library's own check.
const std::string& decoder_names();

}  // namespace tattletone::decoder_allowed
