#include "tones/judge/speech.h"
#include "support/names.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <iostream>
#include <map>
#include <numbers>
#include <string>
#include <vector>

#include "sound/clip/clip_reader.h"
#include "support/events.h"
#include "support/random.h"
#include "support/skip.h"

using namespace tattletone;
namespace fs = std::filesystem;

namespace {

constexpr double rate_hz = 48000.0;

bool judged(const std::vector<float>& samples, double sample_rate_hz = rate_hz) {
    SpeechMeter meter(sample_rate_hz);
    // In odd pieces: the answer must not hang on how a clip is read.
    for (std::size_t at = 0; at < samples.size(); at += 7919)
        meter.add(std::span(samples).subspan(at, std::min<std::size_t>(7919, samples.size() - at)));
    return meter.like_speech();
}

std::vector<double> noise(double seconds, double sd, scenes::Random& random) {
    std::vector<double> sound(static_cast<std::size_t>(seconds * rate_hz));
    for (double& x : sound) x = sd * random.normal();
    return sound;
}

std::vector<float> floats(const std::vector<double>& sound) {
    return std::vector<float>(sound.begin(), sound.end());
}

std::vector<fs::path> files_below(const fs::path& folder) {
    std::vector<fs::path> files;
    std::error_code problem;
    for (fs::recursive_directory_iterator entry(folder, problem), end; !problem && entry != end; ++entry) {
        const auto ending = entry->path().extension();
        if (ending == ".ogg" || ending == ".wav") files.push_back(entry->path());
    }
    std::sort(files.begin(), files.end());
    return files;
}

}  // namespace

TEST_CASE("simulated speech is like speech, noise, hum, a tone and knocks are not") {
    int found = 0;
    constexpr int voices = 40;
    for (int seed = 1; seed <= voices; ++seed) {
        scenes::Random random(static_cast<std::uint64_t>(seed));
        auto sound = noise(8.0, 1e-4, random);
        scenes::add_speech(sound, rate_hz, 0.05, random);
        found += judged(floats(sound));
    }
    std::cout << "like speech: " << found << " of " << voices << " simulated voices\n";
    CHECK(found >= 30);  // 34 when it was written
    scenes::Random random(7);
    auto sound = noise(8.0, 0.01, random);
    CHECK_FALSE(judged(floats(sound)));
    for (std::size_t i = 0; i < sound.size(); ++i)
        sound[i] += 0.1 * std::sin(2.0 * std::numbers::pi * 100.0 * static_cast<double>(i) / rate_hz);
    CHECK_FALSE(judged(floats(sound)));
    sound = noise(8.0, 1e-4, random);
    for (std::size_t i = 0; i < sound.size(); ++i) {  // a knock each half second, gone within 20 ms
        const double since = std::fmod(static_cast<double>(i) / rate_hz, 0.5);
        sound[i] += 0.3 * std::exp(-since / 0.006) * std::sin(2.0 * std::numbers::pi * 400.0 * since);
    }
    CHECK_FALSE(judged(floats(sound)));
    CHECK_FALSE(judged({}));
    CHECK_FALSE(judged(std::vector<float>(480000, 0.0f)));
}

// Letters spoken by volunteers (Debian's klettres-data) and the channel names of alsa-utils, joined
// as one would speak them.
TEST_CASE("real voices are like speech", "[statistics]") {
    int speakers = 0, found = 0;
    std::error_code problem;
    std::vector<std::vector<fs::path>> groups;
    for (const auto& language : fs::directory_iterator("/usr/share/klettres", problem))
        if (fs::is_directory(language.path() / "alpha", problem))
            groups.push_back(files_below(language.path() / "alpha"));
    if (groups.empty()) skip_test("/usr/share/klettres is not there (Debian: klettres-data).");
    if (auto files = files_below("/usr/share/sounds/alsa"); !files.empty()) {
        std::erase_if(files, [](const fs::path& p) { return p.filename() == "Noise.wav"; });
        groups.push_back(files);
    }
    for (const auto& files : groups) {
        std::vector<float> joined;
        double hz = 0.0;
        for (const fs::path& file : files) {
            const auto clip = read_clip(file.string());
            if (!clip || (hz > 0.0 && clip->sample_rate_hz != hz)) continue;
            hz = clip->sample_rate_hz;
            joined.insert(joined.end(), clip->samples.begin(), clip->samples.end());
            if (static_cast<double>(joined.size()) > 12.0 * hz) break;
        }
        if (joined.empty()) continue;
        ++speakers;
        found += judged(joined, hz);
    }
    std::cout << "like speech: " << found << " of " << speakers << " real voices\n";
    CHECK(speakers >= 15);
    CHECK(4 * found >= 3 * speakers);  // 18 of 21 when it was written
}

// Of ESC-10 and others, see ../shared/real/README.md.
TEST_CASE("real sounds that are no voices are not like speech", "[statistics]") {
    const auto others = files_below(std::string(TATTLETONE_SHARED_DIR) + "/real");
    if (others.empty()) skip_test("../shared/real is not there. Its recordings are not shipped.");
    int sounds = 0, wrong = 0;
    std::map<std::string, int> wrong_of;
    for (const fs::path& file : others) {
        const auto clip = read_clip(file.string());
        if (!clip || clip->sample_rate_hz < 8000.0) continue;
        ++sounds;
        if (!judged(clip->samples, clip->sample_rate_hz)) continue;
        ++wrong;
        ++wrong_of[file.parent_path().filename().string()];
    }
    std::cout << "like speech: " << wrong << " of " << sounds << " sounds that are none:";
    for (const auto& [kind, count] : wrong_of) std::cout << ' ' << kind << ' ' << count;
    std::cout << '\n';
    CHECK(sounds >= 200);
    CHECK(wrong < sounds / 10);  // 15 of 203 when it was written
}
