#pragma once

#include <string>

#include "board/sheet.h"
#include "match/findings.h"

namespace tattletone {

/// The findings as one HTML page that needs nothing else: the answer, suspects with reasons, noise
/// floor, tones and the suspects' lines on one frequency axis, the tones, the conditions, the
/// cautions. `sheet` may be null; then there are no ladders.
std::string findings_page(const Findings& findings, const BoardSheet* sheet, bool room_given);

}  // namespace tattletone
