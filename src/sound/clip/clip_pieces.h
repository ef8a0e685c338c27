#pragma once

#include <functional>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "base/result.h"
#include "sound/clip/clip_reader.h"

namespace tattletone::sound {

/// Who takes a clip's sound, piece by piece. `gap`: samples were lost between the piece before and
/// the one after. `samples` returns false to give up.
struct PieceTaker {
    std::function<bool(std::span<const float>)> samples;
    std::function<void()> gap;
};

/// Hands over a whole clip. An error is the clip's; giving up is none.
std::optional<Error> take_pieces(ClipReader& clip, const PieceTaker& taker);

/// What the clip itself tells (which channel and why, its faults), followed by `notices`, none
/// twice.
std::vector<std::string> with_clip_notices(const ClipReader& clip, std::vector<std::string> notices);

/// `first`, followed by those of `rest` that are not in it.
std::vector<std::string> joined_notices(std::vector<std::string> first, std::vector<std::string> rest);

}  // namespace tattletone::sound
