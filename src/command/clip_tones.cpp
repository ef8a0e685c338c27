#include "command/clip_tones.h"

#include <algorithm>
#include <span>
#include <vector>

#include "tones/find_tones.h"

namespace tattletone {
namespace {

void put_clip_notices_first(const ClipReader& clip, Tones& tones) {
    std::vector<std::string> notices;
    if (!clip.info().channel_choice.empty()) notices.push_back(clip.info().channel_choice);
    const auto add = [&](const std::vector<std::string>& more) {
        for (const std::string& notice : more)
            if (std::find(notices.begin(), notices.end(), notice) == notices.end())
                notices.push_back(notice);
    };
    add(clip.notices());
    add(tones.notices);
    tones.notices = std::move(notices);
}

}  // namespace

Result<Tones> tones_of_clip(ClipReader& clip, const std::function<void(double seconds)>& progress) {
    constexpr std::size_t piece = 65536;
    const double rate = clip.info().sample_rate_hz;
    ToneFinder finder(rate, clip.info().origin);
    std::vector<float> samples(piece);
    std::size_t total = 0, gaps_seen = 0;
    for (;;) {
        const auto count = clip.read(samples);
        if (!count) return count.error();
        if (*count == 0) break;
        for (; gaps_seen < clip.gaps().size() && clip.gaps()[gaps_seen] <= total; ++gaps_seen)
            finder.add_gap();
        finder.add(std::span<const float>(samples.data(), *count));
        total += *count;
        if (progress) progress(static_cast<double>(total) / rate);
    }
    Tones tones = finder.finish();
    put_clip_notices_first(clip, tones);
    return tones;
}

}  // namespace tattletone
