#include "command/clip_tones.h"

#include <utility>

#include "sound/clip/clip_pieces.h"
#include "sound/clip/memory_guard.h"
#include "tones/find_tones.h"

namespace tattletone::command {

namespace {

Result<tones::Tones> tones_in(sound::ClipReader& clip, const std::function<void(double seconds)>& progress,
                              const std::function<void(std::span<const float>)>& also) {
    const double rate = clip.info().sample_rate_hz;
    tones::ToneFinder finder(rate, clip.info().origin);
    std::size_t total = 0;
    const auto take = [&](std::span<const float> samples) {
        finder.add(samples);
        if (also) also(samples);
        total += samples.size();
        if (progress) progress(static_cast<double>(total) / rate);
        return true;
    };
    if (const auto error = sound::take_pieces(clip, {take, [&] { finder.add_gap(); }})) return *error;
    tones::Tones tones = finder.finish();
    tones.notices = sound::with_clip_notices(clip, std::move(tones.notices));
    return tones;
}

}  // namespace

Result<tones::Tones> tones_of_clip(sound::ClipReader& clip, const std::function<void(double seconds)>& progress,
                                   const std::function<void(std::span<const float>)>& also) {
    return sound::with_memory_for(clip.info().origin, [&] { return tones_in(clip, progress, also); });
}

}  // namespace tattletone::command
