#pragma once

#include <string>

#include "base/result.h"

/// Every way in which a clip cannot be read, as a sentence with advice. `path` may be "-". What lies not in
/// the clip itself is marked as `may_pass`.
namespace tattletone::sound::clip_errors {

Error cannot_open(const std::string& path, int error_number);
Error bad_header(const std::string& path, const std::string& detail);
Error unknown_codec(const std::string& path, const std::string& codec);
Error rate_out_of_range(const std::string& path, double sample_rate_hz);
Error too_many_channels(const std::string& path, int channels);

using OfPath = Error(const std::string& path);
OfPath folder, empty_file, text_not_sound, not_sound, no_sound_track, cut_before_index, cut_before_sound, encrypted,
    no_samples, nothing_decodable, unreadable, no_decoder, not_enough_memory, asks_too_much_memory, too_long,
    unfolds_too_far, not_to_full_scale, no_room_to_spool;

}  // namespace tattletone::sound::clip_errors
