#pragma once

#include <string>

#include "base/result.h"

/// Every way in which a clip cannot be read, as a sentence with advice. `path` may be "-". What lies not in
/// the clip itself is marked as `may_pass`.
namespace tattletone::sound::clip_errors {

Error cannot_open(const std::string& path, int error_number);
Error folder(const std::string& path);
Error empty_file(const std::string& path);
Error text_not_sound(const std::string& path);
Error not_sound(const std::string& path);
Error no_sound_track(const std::string& path);
Error cut_before_index(const std::string& path);
Error cut_before_sound(const std::string& path);
Error bad_header(const std::string& path, const std::string& detail);
Error encrypted(const std::string& path);
Error unknown_codec(const std::string& path, const std::string& codec);
Error no_samples(const std::string& path);
Error nothing_decodable(const std::string& path);
Error unreadable(const std::string& path);
Error no_decoder(const std::string& path);
Error not_enough_memory(const std::string& path);
Error asks_too_much_memory(const std::string& path);
Error rate_out_of_range(const std::string& path, double sample_rate_hz);
Error too_many_channels(const std::string& path, int channels);
Error too_long(const std::string& path);
Error unfolds_too_far(const std::string& path);
Error not_to_full_scale(const std::string& path);
Error no_room_to_spool(const std::string& path);

}  // namespace tattletone::sound::clip_errors
