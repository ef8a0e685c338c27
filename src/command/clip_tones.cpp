#include "command/clip_tones.h"

#include <utility>

#include "sound/clip_pieces.h"
#include "sound/memory_guard.h"
#include "tones/find_tones.h"

namespace tattletone {

namespace {

Result<Tones> tones_in(ClipReader& clip, const std::function<void(double seconds)>& progress,
                       const std::function<void(std::span<const float>)>& also) {
    const double rate = clip.info().sample_rate_hz;
    ToneFinder finder(rate, clip.info().origin);
    std::size_t total = 0;
    const auto take = [&](std::span<const float> samples) {
        finder.add(samples);
        if (also) also(samples);
        total += samples.size();
        if (progress) progress(static_cast<double>(total) / rate);
        return true;
    };
    if (const auto error = take_pieces(clip, {take, [&] { finder.add_gap(); }})) return *error;
    Tones tones = finder.finish();
    tones.notices = with_clip_notices(clip, std::move(tones.notices));
    return tones;
}

}  // namespace

Result<Tones> tones_of_clip(ClipReader& clip, const std::function<void(double seconds)>& progress,
                            const std::function<void(std::span<const float>)>& also) {
    return with_memory_for(clip.info().origin, [&] { return tones_in(clip, progress, also); });
}

}  // namespace tattletone
