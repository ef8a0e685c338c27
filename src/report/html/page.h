#pragma once

#include <string>

#include "board/sheet/sheet.h"
#include "match/findings.h"
#include "report/hearing.h"

namespace tattletone::report {

/// The findings as one HTML page that needs nothing else: the answer, suspects with reasons, noise
/// floor, tones and the suspects' lines on one frequency axis, the tones, what moves and what helps,
/// who hears it, the conditions, the cautions. `sheet` may be null; then there are no ladders. `more`
/// are sections of the caller, before the conditions.
std::string findings_page(const match::Findings& findings, const board::BoardSheet* sheet,
                          const HearingOptions& hearing = {}, const std::string& more = {});

}  // namespace tattletone::report
