#include "session/clip_analysis.h"

#include <algorithm>
#include <utility>
#include <vector>

#include "sound/clip_reader.h"
#include "spectrum/transform.h"
#include "tones/find_tones.h"

namespace tattletone {
namespace {

constexpr std::size_t piece_frames = 65536;
constexpr std::size_t curve_frame = 32768;
constexpr std::size_t most_rows = 1200;

/// About 1.5 Hz a bin whatever the rate.
std::size_t curve_frame_for(double sample_rate_hz) {
    const double scale = std::max(0.125, sample_rate_hz / 48000.0);
    return fast_size_at_most(static_cast<std::size_t>(scale * curve_frame));
}

struct Meters {
    ToneFinder finder;
    SpectrumMeter curve;
    SpectrogramMeter rows;

    Meters(double rate, const std::string& origin)
        : finder(rate, origin), curve(rate, curve_frame_for(rate)), rows(rate, most_rows, true) {}
    void add(std::span<const float> samples) {
        finder.add(samples);
        curve.add(samples);
        rows.add(samples);
    }
    void add_gap() {
        finder.add_gap();
        curve.add_gap();
        rows.add_gap();
    }
    std::shared_ptr<SoundPicture> finish() {
        auto picture = std::make_shared<SoundPicture>();
        picture->found = finder.finish();
        picture->spectrum = curve.curve();
        picture->spectrogram = rows.spectrogram();
        return picture;
    }
};

void put_first(std::vector<std::string> first, std::vector<std::string>& notices) {
    for (std::string& notice : notices)
        if (std::find(first.begin(), first.end(), notice) == first.end())
            first.push_back(std::move(notice));
    notices = std::move(first);
}

}  // namespace

Result<std::shared_ptr<const SoundPicture>> analyse_clip(
    const std::string& path, const std::function<bool(double share)>& progress) {
    auto clip = ClipReader::open(path);
    if (!clip) return clip.error();
    const double rate = clip->info().sample_rate_hz;
    Meters meters(rate, path);
    std::vector<float> samples(piece_frames);
    std::size_t total = 0, gaps_seen = 0;
    for (;;) {
        const auto count = clip->read(samples);
        if (!count) return count.error();
        if (*count == 0) break;
        for (; gaps_seen < clip->gaps().size() && clip->gaps()[gaps_seen] <= total; ++gaps_seen)
            meters.add_gap();
        meters.add(std::span<const float>(samples.data(), *count));
        total += *count;
        const double length = clip->info().seconds.value_or(0.0);
        const double share = length > 0.0 ? static_cast<double>(total) / rate / length : 0.0;
        if (progress && !progress(std::min(share, 1.0))) return Error{path, "", ""};
    }
    auto picture = meters.finish();
    std::vector<std::string> first;
    if (!clip->info().channel_choice.empty()) first.push_back(clip->info().channel_choice);
    for (const std::string& notice : clip->notices()) first.push_back(notice);
    put_first(std::move(first), picture->found.notices);
    return std::shared_ptr<const SoundPicture>(std::move(picture));
}

std::shared_ptr<const SoundPicture> analyse_recording(const Recording& recording) {
    Meters meters(recording.sample_rate_hz, recording.origin);
    std::size_t begin = 0;
    const auto samples = std::span<const float>(recording.samples);
    for (const std::size_t gap : recording.gaps) {
        meters.add(samples.subspan(begin, gap - begin));
        meters.add_gap();
        begin = gap;
    }
    meters.add(samples.subspan(begin));
    auto picture = meters.finish();
    put_first(recording.notices, picture->found.notices);
    return picture;
}

}  // namespace tattletone
