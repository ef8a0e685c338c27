#pragma once

#include <functional>
#include <span>

#include "result.h"
#include "sound/clip_reader.h"
#include "tones/tones.h"

namespace tattletone {

/// The tones of a clip, read piece by piece. `progress` is called now and then with the seconds
/// read; it may be empty, and so may `also`, which gets the samples too. The clip's own notices stand
/// before those of the analysis.
Result<Tones> tones_of_clip(ClipReader& clip, const std::function<void(double seconds)>& progress,
                            const std::function<void(std::span<const float>)>& also = {});

}  // namespace tattletone
