#pragma once

#include "board/sheet/sheet.h"
#include "match/model/parameters.h"
#include "tones/join/unit_tones.h"

namespace tattletone::match {

/// Where the sheet declares a rate at the pace of a tone's bursts, its sidebands are evidence for that rate: they stand
/// among the tones again, each with the takes in which it was heard. Ids are new then, in order of frequency.
tones::UnitTones with_declared_bursts(const board::BoardSheet& sheet, tones::UnitTones unit,
                                      const MatchParameters& parameters);

}  // namespace tattletone::match
