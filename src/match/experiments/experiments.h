#pragma once

#include <string>
#include <vector>

#include "board/sheet/sheet.h"
#include "match/findings.h"

namespace tattletone::match {

struct MatchParameters;

/// What could be done next, that which tells most per minute of effort first; what tells less than 0.01
/// bit is left out. From `findings.attributions`: the probability over who makes the tones. Each experiment's possible
/// outcomes (each source's tones stay, go or move) are weighed with the match's own parameters, and bits = Σ P(outcome)
/// · (entropy now - entropy after).
std::vector<Experiment> next_experiments(const board::BoardSheet& sheet, const Findings& findings,
                                         const MatchParameters& parameters);

/// Of the sheet's states those that no take is of; first those in which the first suspect rests, which tell most.
std::vector<std::string> states_left(const board::BoardSheet& sheet, const Findings& findings);

/// False where all suspects predict what looks the same at the bench.
bool tells_apart(const Experiment& experiment);

/// Minutes of effort, estimates for a board that is already on the bench.
double effort_minutes(Trial trial);

}  // namespace tattletone::match
