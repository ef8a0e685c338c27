#pragma once

#include <functional>
#include <map>
#include <string>

#include "match/findings.h"
#include "match/model/case_evidence.h"
#include "match/model/parameters.h"
#include "toggle/trial/trial.h"

namespace tattletone::match {

/// A toggle plan's trial, and what the diagnosis was without it.
struct TrialJoin {
    toggle::Trial trial;
    std::map<std::string, double> without;  ///< by full name of a rate; what is not in it had no probability
};

/// What the trial says of each tone, as evidence.
void add_trial(CaseEvidence& evidence, const toggle::Trial& trial);

/// `diagnosis` with the trial as evidence, and before that without it, for `join.without`.
Findings diagnose_with_trial(tones::UnitTones unit, CaseEvidence evidence, TrialJoin& join,
                             const std::function<Findings(tones::UnitTones, const CaseEvidence&)>& diagnosis);

/// The trial's tones by the numbers that the findings give them.
void number_as_found(toggle::Trial& trial, const tones::UnitTones& unit);

}  // namespace tattletone::match
