#pragma once

#include <string>
#include <vector>

#include "board/sheet/sheet.h"
#include "match/findings.h"
#include "match/toggle_match.h"
#include "toggle/plan/plan.h"

namespace tattletone::report {

/// What a plan can find and how it is carried out; `written` names the files, may be empty.
std::string plan_text(const toggle::Plan& plan, const board::BoardSheet& sheet, const toggle::PlanWish& wish,
                      const std::vector<std::string>& written, int columns);

/// Puts the trial among the reasons of the suspects that it concerns.
void tell_trial(match::Findings& findings, const match::TrialJoin& join);
/// For the terminal and the page: start and pace, each part, what it changed in the diagnosis.
std::vector<std::string> trial_sentences(const match::Findings& findings, const match::TrialJoin& join);
std::string trial_text(const match::Findings& findings, const match::TrialJoin& join, int columns, bool bold);
std::string trial_json(const match::TrialJoin& join);
/// The section of a diagnosis' page: levels over time above the plan's bars, and the sentences.
std::string page_trial(const match::Findings& findings, const match::TrialJoin& join);

}  // namespace tattletone::report
