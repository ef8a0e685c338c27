#include "support/codec.h"

#include <atomic>
#include <cstdint>
#include <cstdlib>
#include <filesystem>
#include <string>

#include "support/names.h"
#include "support/wave_file.h"

namespace tattletone::scenes {

const std::vector<Codec>& codecs() {
    static const std::vector<Codec> all = {
        {"aac 64", "aac", "64k", "m4a", 14000.0},        {"aac 96", "aac", "96k", "m4a", 15500.0},
        {"aac 128", "aac", "128k", "m4a", 16500.0},      {"opus 24", "libopus", "24k", "opus", 12000.0},
        {"opus 48", "libopus", "48k", "opus", 19500.0},  {"opus 96", "libopus", "96k", "opus", 19500.0},
        {"mp3 96", "libmp3lame", "96k", "mp3", 15000.0}, {"mp3 160", "libmp3lame", "160k", "mp3", 17000.0}};
    return all;
}

bool squeeze(std::vector<float>& samples, double sample_rate_hz, const Codec& codec) {
    static const bool present = std::system("ffmpeg -version >/dev/null 2>&1") == 0;
    if (!present || sample_rate_hz > 48000.0) return false;
    static std::atomic<int> count{0};
    namespace fs = std::filesystem;
    const fs::path folder =
        fs::temp_directory_path() / ("tattletone-codec-" + std::to_string(reinterpret_cast<std::uintptr_t>(&count)) +
                                     "-" + std::to_string(count++));
    fs::create_directories(folder);
    const std::string from = (folder / "from.wav").string(), to = (folder / "to.wav").string();
    const std::string squeezed = (folder / ("squeezed." + codec.suffix)).string();
    const std::string rate = std::to_string(static_cast<int>(sample_rate_hz));
    bool done = write_wave(from, samples, sample_rate_hz);
    done =
        done && std::system(("ffmpeg -loglevel error -y -threads 1 -i " + from + " -c:a " + codec.encoder + " -b:a " +
                             codec.bit_rate + " " + squeezed + " && ffmpeg -loglevel error -y -threads 1 -i " +
                             squeezed + " -ac 1 -ar " + rate + " -c:a pcm_s16le " + to)
                                .c_str()) == 0;
    if (done) {
        std::vector<float> decoded = read_wave(to);
        done = !decoded.empty();
        if (done) samples = std::move(decoded);
    }
    fs::remove_all(folder);
    return done;
}

}  // namespace tattletone::scenes
