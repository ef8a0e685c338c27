#include "bench/rejection_recordings.h"

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <map>

#include "sound/clip/clip_reader.h"
#include "support/environment_clips.h"
#include "support/names.h"
#include "support/scene.h"
#include "tones/find_tones.h"
#include "tones/join/join.h"

namespace tattletone::bench {
namespace {

namespace fs = std::filesystem;

constexpr double false_alarm_rate = 0.001;
constexpr double whole_seconds = 20.0, shortest_seconds = 0.5;
// Of the recordings, those whose search can run again.
constexpr int keep_each = 4;

std::vector<fs::path> clips_in(const fs::path& folder) {
    std::vector<fs::path> found;
    std::error_code problem;
    for (const auto& entry : fs::directory_iterator(folder, problem)) {
        const std::string ending = entry.path().extension().string();
        if (ending == ".ogg" || ending == ".wav" || ending == ".flac") found.push_back(entry.path());
    }
    std::sort(found.begin(), found.end());
    return found;
}

class RealEar {
  public:
    RealEar(double share, bool keep_samples) : share_(share), keep_samples_(keep_samples) {}

    void add(const fs::path& path, std::vector<KnownTone> known, double weight = 1.0) {
        const std::string kind = path.parent_path().string();
        double& due = due_[kind];
        due += share_ * weight;
        if (due < 1.0 - 1e-9) return;
        due -= 1.0;
        auto clip = read_clip(path.string());
        if (!clip || clip->seconds() < shortest_seconds || clip->sample_rate_hz < 8000.0) return;
        HeardRecording recording;
        recording.name = path.string();
        recording.real = true;
        recording.known = std::move(known);
        recording.sample_rate_hz = clip->sample_rate_hz;
        recording.lines = lines_of(clip->samples, clip->sample_rate_hz, {});
        if (keep_samples_ && count_++ % keep_each == 0) recording.samples = std::move(clip->samples);
        heard_.push_back(std::move(recording));
    }

    std::vector<HeardRecording> take() { return std::move(heard_); }

  private:
    double share_;
    bool keep_samples_;
    int count_ = 0;
    std::map<std::string, double> due_;
    std::vector<HeardRecording> heard_;
};

void add_environment(RealEar& ear, const fs::path& folder) {
    for (const EnvironmentClip& clip : environment_clips(folder)) {
        std::vector<KnownTone> known;
        // -112 to +44 ppm off by the recorders' clocks.
        if (clip.group == "line-rate") known.push_back({std::stod(clip.line_rate), 2.5});
        if (clip.file == "rain/3-140774-A.ogg") known.push_back({0.5 * std::stod(clip.line_rate), 1.5});
        ear.add(clip.path, known);
    }
}

void add_letters(RealEar& ear, const fs::path& folder) {
    std::error_code problem;
    std::vector<fs::path> languages;
    for (const auto& entry : fs::directory_iterator(folder, problem)) languages.push_back(entry.path());
    std::sort(languages.begin(), languages.end());
    for (const fs::path& language : languages) {
        std::vector<KnownTone> known;
        const std::string name = language.filename().string();
        if (name == "de") known = {{15734.30, 1.0}};
        if (name == "ml") known = {{15736.7, 1.5}};
        if (name == "en") known = {{5035.64, 0.5}, {10071.26, 1.0}};
        for (const fs::path& path : clips_in(language / "alpha")) ear.add(path, known, known.empty() ? 0.25 : 1.0);
    }
}

void add_drums(RealEar& ear, const fs::path& folder) {
    std::vector<KnownTone> block_rate;
    for (int order = 1; order <= 12; ++order) block_rate.push_back({order * 44100.0 / 256.0, 0.5, false});
    for (const fs::path& path : clips_in(folder))
        if (path.filename().string().rfind("tabla_", 0) == 0) ear.add(path, block_rate);
}

KnownTone known_tone(const scenes::TrueLine& line) {
    return {line.hz, line.steady ? std::max(1.0, 1.0 / line.seconds) : std::max(2.0, 0.01 * line.hz)};
}

}  // namespace

std::vector<SegmentLines> lines_of(const std::vector<float>& samples, double sample_rate_hz,
                                   const RejectionLimits& limits) {
    const std::span<const float> all = samples;
    const auto most = static_cast<std::size_t>(whole_seconds * sample_rate_hz);
    std::vector<SegmentLines> lines;
    for (std::size_t from = 0; from < all.size(); from += most) {
        const auto part = all.subspan(from, std::min(most, all.size() - from));
        if (static_cast<double>(part.size()) < shortest_seconds * sample_rate_hz) break;
        lines.push_back(lines_of_segment(part, sample_rate_hz, false_alarm_rate, false,
                                         all.size() <= most ? Kept::faint : Kept::lines, limits));
    }
    return lines;
}

Tones tones_of(const std::vector<SegmentLines>& lines, const RejectionLimits& limits) {
    Joiner joiner(limits);
    double begin = 0.0;
    for (const SegmentLines& segment : lines) {
        joiner.add(judged(segment, limits), begin);
        begin += segment.segment.seconds;
    }
    return joiner.finish();
}

std::vector<HeardRecording> hear_real(const std::string& shared, double share, bool keep_samples) {
    RealEar ear(share, keep_samples);
    add_environment(ear, fs::path(shared) / "real" / "environment");
    for (const fs::path& path : clips_in(fs::path(shared) / "real" / "typing")) ear.add(path, {});
    add_letters(ear, "/usr/share/klettres");
    add_drums(ear, "/usr/share/sonic-pi/samples");
    for (const fs::path& path : clips_in("/usr/share/sounds/alsa")) ear.add(path, {});
    return ear.take();
}

Heard hear_scenes(std::uint64_t first_seed, int count, bool keep_samples) {
    Heard heard;
    FindOptions options;
    options.threads = 1;
    for (int i = 0; i < count; ++i) {
        const auto scene = scenes::make_scene(first_seed + static_cast<std::uint64_t>(i));
        HeardUnit unit;
        for (std::size_t take = 0; take < scene.takes.size(); ++take) {
            const Recording& recording = scene.takes[take].recording;
            HeardRecording one;
            one.name = recording.origin;
            one.sample_rate_hz = recording.sample_rate_hz;
            for (const scenes::TrueLine& line : scene.lines)
                if (line.take == static_cast<int>(take)) one.known.push_back(known_tone(line));
            one.lines = lines_of(recording.samples, recording.sample_rate_hz, {});
            if (keep_samples && i % keep_each == 0) one.samples = recording.samples;
            unit.takes.push_back({one.name, scene.takes[take].state, "", tones_of(one.lines, {})});
            unit.known.insert(unit.known.end(), one.known.begin(), one.known.end());
            heard.recordings.push_back(std::move(one));
        }
        if (!scene.room) continue;
        unit.room = find_tones(*scene.room, options);
        heard.units.push_back(std::move(unit));
    }
    return heard;
}

}  // namespace tattletone::bench
