#pragma once

#include <string>
#include <vector>

#include "board/sheet/sheet.h"
#include "logbook/units/opinions.h"
#include "match/findings.h"
#include "match/toggle_match.h"
#include "match/trace_match.h"

namespace tattletone::report {

/// What this bench has said of a board's rates, and what that does to the match.
struct Confirmed {
    std::vector<logbook::Opinion> opinions;  ///< of this board, confirmed and rejected
    std::map<std::string, double> factors;   ///< on the prior odds
};

/// From the logbook, for the board of that name.
Result<Confirmed> confirmed_on(logbook::Logbook& logbook, const std::string& board);

/// The diagnosis with the bench's own prior odds, a trace and a toggle plan's trial; each may be null.
match::Findings diagnose_here(const board::BoardSheet* sheet, tones::UnitTones unit, const Confirmed* confirmed,
                              match::TraceJoin* trace = nullptr, match::TrialJoin* trial = nullptr);

/// For the terminal, behind the findings; empty where nothing was said of a suspect.
std::string confirmed_text(const Confirmed& confirmed, const match::Findings& findings, int columns);

/// What stands under the key "confirmed" of findings in JSON.
std::string confirmed_json(const Confirmed& confirmed);

/// "ranger.frame was confirmed in units 7 and 9 (regulator starved; fixed by R2)", one sentence a rate.
std::vector<std::string> confirmed_sentences(const std::vector<logbook::Opinion>& opinions);

}  // namespace tattletone::report
