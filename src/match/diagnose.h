#pragma once

#include "board/sheet.h"
#include "match/case_evidence.h"
#include "match/findings.h"
#include "match/search_limits.h"

namespace tattletone {

struct MatchParameters;

/// The match: which declared rate is singing, from the tones of one unit. A pure function of its
/// arguments. The sheet may be null: then tones are listed and nobody is suspected.
Findings diagnose(const BoardSheet* sheet, UnitTones unit);
Findings diagnose(const BoardSheet* sheet, UnitTones unit, const MatchParameters& parameters,
                  const CaseEvidence& evidence = {}, const SearchLimits& search = {});

}  // namespace tattletone
