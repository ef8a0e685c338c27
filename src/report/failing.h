#pragma once

#include <string>

#include "match/findings.h"

namespace tattletone::report {

/// A test bench's verdict on a unit, by its prominent tones.
struct UnitVerdict {
    bool fails = false;   ///< one of them is the board's by evidence
    std::string doubted;  ///< why nothing was failed although there is one of unknown owner; empty where there is none
};

/// Measured on 29 November 2026 (tests/scenes/score_failing --units 40 --scenes 200): with 0.5 of 360 silent boards
/// beside a neighbour 8 failed without and 6 with a recording of the room, and 41 of 200 that sing (44 of them have a
/// prominent tone that may be theirs); with 0.9 it is 2, 3 and 37. Above that nobody is spared. A good unit that is
/// thrown away costs more than a doubt that is told.
inline constexpr double fails_from = 0.9;

/// The board's by evidence: declared rates explain the tone with `explained_from` or more in sum, or
/// `shown_to_be_of_board`.
bool of_board_by_evidence(const match::Findings& findings, const tones::UnitTone& tone,
                          double explained_from = fails_from);
UnitVerdict unit_verdict(const match::Findings& findings, double explained_from = fails_from);

}  // namespace tattletone::report
