#include "sound/clip/clip_pieces.h"

#include <algorithm>
#include <utility>

namespace tattletone::sound {

std::optional<Error> take_pieces(ClipReader& clip, const PieceTaker& taker) {
    constexpr std::size_t piece = 65536;
    std::vector<float> samples(piece);
    std::size_t total = 0, gaps_seen = 0;
    for (;;) {
        const auto count = clip.read(samples);
        if (!count) return count.error();
        if (*count == 0) return std::nullopt;
        for (; gaps_seen < clip.gaps().size() && clip.gaps()[gaps_seen] <= total; ++gaps_seen) taker.gap();
        total += *count;
        if (!taker.samples(std::span<const float>(samples.data(), *count))) return std::nullopt;
    }
}

std::vector<std::string> joined_notices(std::vector<std::string> first, std::vector<std::string> rest) {
    for (std::string& notice : rest)
        if (std::find(first.begin(), first.end(), notice) == first.end()) first.push_back(std::move(notice));
    return first;
}

std::vector<std::string> with_clip_notices(const ClipReader& clip, std::vector<std::string> notices) {
    std::vector<std::string> first;
    if (!clip.info().channel_choice.empty()) first.push_back(clip.info().channel_choice);
    return joined_notices(joined_notices(std::move(first), clip.notices()), std::move(notices));
}

}  // namespace tattletone::sound
