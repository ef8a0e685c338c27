#pragma once

#include <functional>
#include <memory>
#include <string>

#include "base/result.h"
#include "session/live/spectrogram.h"
#include "session/live/spectrum_curve.h"
#include "sound/recording.h"
#include "tones/tones.h"

namespace tattletone::session {

/// What a recording shows. Immutable once made.
struct SoundPicture {
    tones::Tones found;
    SpectrumCurve spectrum;
    Spectrogram spectrogram;
};

/// Of a clip, read piece by piece. `progress` gets 0 to 1 now and then where the clip tells its
/// length; it returns false to give up, which is an error without text.
Result<std::shared_ptr<const SoundPicture>> analyse_clip(const std::string& path,
                                                         const std::function<bool(double share)>& progress);

std::shared_ptr<const SoundPicture> analyse_recording(const sound::Recording& recording);

}  // namespace tattletone::session
