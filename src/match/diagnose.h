#pragma once

#include "board/sheet/sheet.h"
#include "match/findings.h"
#include "match/model/case_evidence.h"
#include "match/model/search_limits.h"

namespace tattletone::match {

struct MatchParameters;

/// The match: which declared rate is singing, from the tones of one unit. A pure function of its arguments. The sheet
/// may be null: then tones are listed and nobody is suspected.
Findings diagnose(const board::BoardSheet* sheet, tones::UnitTones unit);
Findings diagnose(const board::BoardSheet* sheet, tones::UnitTones unit, const MatchParameters& parameters,
                  const CaseEvidence& evidence = {}, const SearchLimits& search = {});

}  // namespace tattletone::match
