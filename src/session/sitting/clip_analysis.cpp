#include "session/sitting/clip_analysis.h"

#include <algorithm>
#include <utility>
#include <vector>

#include "sound/clip/clip_pieces.h"
#include "sound/clip/memory_guard.h"
#include "spectrum/transform.h"
#include "tones/find_tones.h"

namespace tattletone::session {
namespace {

constexpr std::size_t curve_frame = 32768;

/// About 1.5 Hz a bin whatever the rate.
std::size_t curve_frame_for(double sample_rate_hz) {
    const double scale = std::max(0.125, sample_rate_hz / 48000.0);
    return spectrum::fast_size_at_most(static_cast<std::size_t>(scale * curve_frame));
}

struct Meters {
    tones::ToneFinder finder;
    SpectrumMeter curve;
    SpectrogramMeter rows;

    Meters(double rate, const std::string& origin)
        : finder(rate, origin), curve(rate, curve_frame_for(rate)), rows(rate, most_spectrogram_rows, true) {}
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

using MaybePicture = Result<std::shared_ptr<const SoundPicture>>;

MaybePicture picture_of(const std::string& path, const std::function<bool(double share)>& progress) {
    auto clip = sound::ClipReader::open(path);
    if (!clip) return clip.error();
    const double rate = clip->info().sample_rate_hz;
    Meters meters(rate, path);
    std::size_t total = 0;
    bool given_up = false;
    const double length = clip->info().seconds.value_or(0.0);
    const auto take = [&](std::span<const float> samples) {
        meters.add(samples);
        total += samples.size();
        const double share = length > 0.0 ? static_cast<double>(total) / rate / length : 0.0;
        given_up = progress && !progress(std::min(share, 1.0));
        return !given_up;
    };
    if (const auto error = sound::take_pieces(*clip, {take, [&] { meters.add_gap(); }})) return *error;
    if (given_up) return Error{path, "", ""};
    auto picture = meters.finish();
    picture->found.notices = sound::with_clip_notices(*clip, std::move(picture->found.notices));
    return std::shared_ptr<const SoundPicture>(std::move(picture));
}

}  // namespace

MaybePicture analyse_clip(const std::string& path, const std::function<bool(double share)>& progress) {
    return sound::with_memory_for(path, [&] { return picture_of(path, progress); });
}

std::shared_ptr<const SoundPicture> analyse_recording(const sound::Recording& recording) {
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
    picture->found.notices = sound::joined_notices(recording.notices, std::move(picture->found.notices));
    return picture;
}

}  // namespace tattletone::session
