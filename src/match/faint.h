#pragma once

#include "match/scene.h"

namespace tattletone {

/// The unit's tones together with the faint lines of its takes that stand where a tightly timed rate would have a
/// harmonic, where noise seldom has one. Ids are new, in order of frequency.
UnitTones with_faint(const BoardSheet& sheet, UnitTones unit, const MatchParameters& parameters);

/// Without the faint ones that are not `kept` (by index into `unit.tones`).
UnitTones without_faint(UnitTones unit, const std::vector<char>& kept);

}  // namespace tattletone
