#pragma once

#include "match/model/observations.h"

namespace tattletone::match {

/// A line under the threshold, as a tone of the recording in which it stands.
tones::Tone faint_tone(double hz, double hz_sd, double level_dbfs, const tones::Tones& found);

/// The unit's tones together with the faint lines of its takes that stand where a tightly timed rate would have a
/// harmonic, where noise seldom has one. Ids are new, in order of frequency.
tones::UnitTones with_faint(const board::BoardSheet& sheet, tones::UnitTones unit, const MatchParameters& parameters);

/// Without the faint ones that are not `kept` (by index into `unit.tones`).
tones::UnitTones without_faint(tones::UnitTones unit, const std::vector<char>& kept);

}  // namespace tattletone::match
