#pragma once

#include <map>
#include <string>
#include <vector>

#include "board/sheet/sheet.h"
#include "match/findings.h"
#include "match/model/parameters.h"
#include "tones/join/unit_tones.h"

namespace tattletone::match {

/// Slow rates of the sheet (to 200 Hz) at whose pace, or at two of its multiples, the noise of takes comes
/// and goes in which they run, and of no other; MODEL.md 27.
std::vector<PulsedRate> declared_pulses(const board::BoardSheet& sheet, const tones::UnitTones& unit,
                                        const MatchParameters& parameters);

/// What they multiply the rates' prior odds by, by full name.
std::map<std::string, double> pulse_odds(const std::vector<PulsedRate>& pulsed);

/// Among the reasons of those that are suspects.
void tell_pulses(Findings& findings);

}  // namespace tattletone::match
