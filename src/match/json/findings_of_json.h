#pragma once

#include <string_view>

#include "base/result.h"
#include "match/findings.h"

namespace tattletone::match {

/// Findings again, so that writing them gives the same keys; parts are passed over. What JSON does not hold (noise
/// floors, histories, names of parts, the board, attributions) has its default; `wander_hz` and `steady` follow
/// from start and end. The text may be anybody's: numbers are within the bounds of plausible.h, a take that is
/// referred to is there, and what is missing or of another type has its default. Error: it is no object, it is too
/// large, or it holds a word that stands for no value of its enum (`where` then leads to it, "tones[2].origin").
Result<Findings> findings_of_json(std::string_view text);

}  // namespace tattletone::match
