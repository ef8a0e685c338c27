#include "sound/clip/clip_errors.h"

#include <cerrno>
#include <cmath>

#include "sound/clip/clip_limits.h"

namespace tattletone::sound::clip_errors {
namespace {

using namespace clip_limits;

std::string name(const std::string& path) {
    return path == "-" ? "standard input" : path;
}

const char* const send_again =
    "Copy or send it again from the phone or recorder, or record once more and end the recording "
    "properly";

Error passing(Error error) {
    error.may_pass = true;
    return error;
}

const char* const export_as_wav = "Export the sound as wav or flac and give that file";

}  // namespace

Error cannot_open(const std::string& path, int error_number) {
    switch (error_number) {
        case ENOENT:
        case ENOTDIR:
            return passing({name(path), "there is no such file", "Check the name and the folder"});
        case EACCES:
        case EPERM:
            return passing({name(path), "no permission to read this file",
                            "Change its permissions, or copy it to a folder of your own"});
        case ENOMEM:
            return not_enough_memory(path);
        case EMFILE:
        case ENFILE:
            return passing({name(path), "too many files are open", "Close other programs and try again"});
        default:
            return passing({name(path), "the file cannot be opened",
                            "Check that its disk or network folder is there, or copy it to this machine"});
    }
}

Error folder(const std::string& path) {
    return {name(path), "this is a folder, not a recording", "Give the files in it by name"};
}

Error empty_file(const std::string& path) {
    return {name(path), "the file is empty (0 bytes)", "Copy it again from the phone or recorder, or record once more"};
}

Error text_not_sound(const std::string& path) {
    return {name(path), "the file holds text, not sound",
            "Give a recording (wav, flac, ogg, opus, mp3, m4a, 3gp, webm or mp4)"};
}

Error not_sound(const std::string& path) {
    return {name(path), "the file holds no sound in a format that can be read",
            "Give a recording (wav, flac, ogg, opus, mp3, m4a, 3gp, webm or mp4); if it is one, it is "
            "damaged: copy it again"};
}

Error no_sound_track(const std::string& path) {
    return {name(path), "the file holds pictures but no sound track",
            "Record with the microphone on, or give another file"};
}

Error cut_before_index(const std::string& path) {
    return {name(path), "the clip was cut off: its index (the moov part) is missing, so its sound cannot be found",
            send_again};
}

Error cut_before_sound(const std::string& path) {
    return {name(path), "the file ends before its sound begins", send_again};
}

Error bad_header(const std::string& path, const std::string& detail) {
    return {name(path), "the wav header is damaged: " + detail, send_again};
}

Error encrypted(const std::string& path) {
    return {name(path), "the sound is encrypted (copy protection)",
            "Give a recording without protection; the phone's own recorder makes one"};
}

Error unknown_codec(const std::string& path, const std::string& codec) {
    return {name(path), "the sound is coded as '" + codec + "', which cannot be decoded here", export_as_wav};
}

Error no_samples(const std::string& path) {
    return {name(path), "the recording has no samples (length zero)", "Record once more"};
}

Error nothing_decodable(const std::string& path) {
    return {name(path), "the file looks like sound, but none of it can be decoded", send_again};
}

Error unreadable(const std::string& path) {
    return passing({name(path), "reading failed: the disk or the connection gave an error",
                    "Copy the file to this machine and try again"});
}

Error no_decoder(const std::string& path) {
    return passing({name(path),
                    "this is no wav, and the decoder for everything else (tattletone_decoder.so) is not "
                    "installed beside the program, or a library that it needs is missing",
                    "Install Tattletone again as a whole, or export the sound as wav and give that file"});
}

Error not_enough_memory(const std::string& path) {
    return passing({name(path), "there is not enough memory for this clip",
                    "Close other programs or lift the limit of memory, and do it again"});
}

Error asks_too_much_memory(const std::string& path) {
    return {name(path), "its header asks for more memory than any recording needs", send_again};
}

Error rate_out_of_range(const std::string& path, double sample_rate_hz) {
    return {name(path),
            "it says " + std::to_string(std::llround(sample_rate_hz)) + " samples a second, and sound of " +
                std::to_string(std::lround(lowest_rate_hz)) + " to " + std::to_string(std::lround(highest_rate_hz)) +
                " can be analysed",
            "Where that is true, export it at 48000 a second; where not, its header is damaged: copy or send "
            "it again"};
}

Error too_many_channels(const std::string& path, int channels) {
    return {name(path),
            "it says " + std::to_string(channels) + " channels, and up to " + std::to_string(most_channels) +
                " can be looked at",
            "Export the channel of the microphone by itself; if there are no such channels, its header is "
            "damaged: copy or send it again"};
}

Error too_long(const std::string& path) {
    return {name(path),
            "it holds more than " + std::to_string(std::lround(longest_seconds / 3600.0)) + " hours of sound",
            "Cut out a piece in which the board sings; some minutes are enough"};
}

Error unfolds_too_far(const std::string& path) {
    return {name(path), "so few bytes unfold into so many hours of sound that it is nearly all silence",
            "Cut out a piece in which the board sings; some minutes are enough"};
}

Error not_to_full_scale(const std::string& path) {
    return {name(path), "most of its samples are no numbers, or more than 18 dB over full scale",
            "Export the sound again, as wav or flac with integer samples"};
}

Error no_room_to_spool(const std::string& path) {
    return passing({name(path), "this kind of clip cannot be read from a pipe without room for a copy",
                    "Save it to a file and give its name, or free some space in the folder for temporary "
                    "files"});
}

}  // namespace tattletone::sound::clip_errors
