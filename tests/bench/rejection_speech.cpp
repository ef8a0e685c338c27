#include <algorithm>
#include <filesystem>

#include "bench/rejection_count.h"
#include "sound/clip/clip_reader.h"
#include "support/events.h"
#include "support/names.h"

namespace tattletone::bench {
namespace {

namespace fs = std::filesystem;

constexpr double made_rate_hz = 48000.0, made_seconds = 8.0, voice_seconds = 12.0;
constexpr int made_of_each = 40;

std::vector<fs::path> clips_below(const fs::path& folder) {
    std::vector<fs::path> found;
    std::error_code problem;
    for (fs::recursive_directory_iterator entry(folder, problem), end; !problem && entry != end; ++entry)
        if (entry->path().extension() == ".ogg" || entry->path().extension() == ".wav") found.push_back(entry->path());
    std::sort(found.begin(), found.end());
    return found;
}

// Clips of one speaker, as one would speak them.
void add_voice(const std::vector<fs::path>& clips, std::vector<SpeechMeter>& voices) {
    std::vector<float> joined;
    double hz = 0.0;
    for (const fs::path& path : clips) {
        if (path.filename() == "Noise.wav") continue;
        const auto clip = read_clip(path.string());
        if (!clip || (hz > 0.0 && clip->sample_rate_hz != hz)) continue;
        hz = clip->sample_rate_hz;
        joined.insert(joined.end(), clip->samples.begin(), clip->samples.end());
        if (static_cast<double>(joined.size()) > voice_seconds * hz) break;
    }
    if (joined.empty()) return;
    voices.emplace_back(hz);
    voices.back().add(joined);
}

void add_made(SpeechBench& bench, int count) {
    using namespace scenes;
    for (int i = 0; i < 2 * count; ++i) {
        Random random(static_cast<std::uint64_t>(i) + 1);
        std::vector<double> sound(static_cast<std::size_t>(made_seconds * made_rate_hz));
        for (double& x : sound) x = 1e-4 * random.normal();
        const bool voice = i % 2 == 0;
        if (voice)
            add_speech(sound, made_rate_hz, 0.05, random);
        else if (i % 8 == 1)
            add_music(sound, made_rate_hz, 0.05, random);
        else if (i % 8 == 3)
            add_typing(sound, made_rate_hz, 0.05, random);
        else if (i % 8 == 5)
            add_knocks(sound, made_rate_hz, 0.05, random);
        else
            add_drops(sound, made_rate_hz, 0.05, random);
        auto& to = voice ? bench.voices : bench.others;
        to.emplace_back(made_rate_hz);
        to.back().add(std::vector<float>(sound.begin(), sound.end()));
    }
}

Share like_speech(const std::vector<SpeechMeter>& meters, const SpeechLimits& limits) {
    Share share;
    share.of = static_cast<int>(meters.size());
    for (const SpeechMeter& meter : meters) share.count += meter.like_speech(limits);
    return share;
}

}  // namespace

Share SpeechBench::voices_heard(const SpeechLimits& limits) const {
    return like_speech(voices, limits);
}

Share SpeechBench::others_taken(const SpeechLimits& limits) const {
    return like_speech(others, limits);
}

SpeechBench hear_speech(const std::string& shared, double share) {
    SpeechBench bench;
    std::error_code problem;
    std::vector<fs::path> languages;
    for (const auto& entry : fs::directory_iterator("/usr/share/klettres", problem)) languages.push_back(entry.path());
    std::sort(languages.begin(), languages.end());
    for (const fs::path& language : languages) add_voice(clips_below(language / "alpha"), bench.voices);
    add_voice(clips_below("/usr/share/sounds/alsa"), bench.voices);
    double due = 0.0;
    for (const char* folder : {"environment", "typing"})
        for (const fs::path& path : clips_below(fs::path(shared) / "real" / folder)) {
            if ((due += share) < 1.0 - 1e-9) continue;
            due -= 1.0;
            const auto clip = read_clip(path.string());
            if (!clip) continue;
            bench.others.emplace_back(clip->sample_rate_hz);
            bench.others.back().add(clip->samples);
        }
    add_made(bench, std::max(2, static_cast<int>(share * made_of_each)));
    return bench;
}

}  // namespace tattletone::bench
