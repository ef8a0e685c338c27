#pragma once

#include <string>
#include <vector>

#include "base/text/json_writer.h"
#include "match/findings.h"
#include "report/text/text.h"

namespace tattletone::report {

/// "If lamp.dimming: the tone at 3906.2 Hz moves to 4297 Hz; if ranger.frame: it stays."
std::string prediction_words(const match::Experiment& experiment);

/// The first experiment in two or three sentences, for the answer's 'what next'. Empty where none
/// tells enough.
std::string next_sentence(const match::Findings& findings);

/// All of them for a terminal: what to do, what each suspect predicts, what it tells, how to give
/// it.
std::string next_text(const match::Findings& findings, const TextStyle& style);

/// The format 'tattletone next 1': suspects, experiments, outcomes, and `parts` behind them. One line.
std::string next_json(const match::Findings& findings, const base::JsonParts& parts = {});

}  // namespace tattletone::report
