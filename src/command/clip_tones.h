#pragma once

#include <functional>
#include <span>

#include "base/result.h"
#include "sound/clip/clip_reader.h"
#include "tones/tones.h"

namespace tattletone::command {

/// The tones of a clip, read piece by piece. `progress` is called now and then with the seconds
/// read; it may be empty, and so may `also`, which gets the samples too. The clip's own notices stand
/// before those of the analysis.
Result<tones::Tones> tones_of_clip(sound::ClipReader& clip, const std::function<void(double seconds)>& progress,
                                   const std::function<void(std::span<const float>)>& also = {});

}  // namespace tattletone::command
