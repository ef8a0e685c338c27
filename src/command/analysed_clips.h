#pragma once

#include <optional>
#include <string>
#include <vector>

#include "command/unit_clips.h"
#include "tones/join/unit_tones.h"

namespace tattletone::command {

/// The tones of each.
struct AnalysedClips {
    std::vector<tones::Take> takes, far;
    std::optional<tones::Tones> room;
};

/// Opens every recording before the first is analysed, so that all that is wrong is told at once.
/// The very same sound under two names is an error: it would count twice. A copy that is louder, trimmed or compressed
/// is left out, with a notice at the recording that stays. Nothing when an error was told.
std::optional<AnalysedClips> analyse_clips(ListedClips listed);

tones::UnitTones united(AnalysedClips clips);

}  // namespace tattletone::command
