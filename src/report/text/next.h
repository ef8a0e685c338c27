#pragma once

#include <string>
#include <vector>

#include "base/text/json_writer.h"
#include "match/findings.h"
#include "report/next_steps.h"
#include "report/text/text.h"

namespace tattletone::report {

/// "If lamp.dimming: the tone at 3906.2 Hz moves to 4297 Hz; if ranger.frame: it stays."
std::string prediction_words(const match::Experiment& experiment);

/// "Record at 44.1 kHz instead of 48 kHz (about 2 min)."
std::string todo_words(const match::Experiment& experiment);

/// None where the answer is as good as certain, and none in which all suspects predict the same.
std::vector<const match::Experiment*> experiments_worth_doing(const match::Findings& findings);

/// How many lists `next_text`: at most eight, none where the answer is as good as certain, and none in which all
/// suspects predict the same.
std::size_t experiments_listed(const match::Findings& findings);

/// The first experiment in two or three sentences, for the answer's 'what next'. Empty where none
/// tells enough.
std::string next_sentence(const match::Findings& findings);

/// Numbered, each with what to type.
std::string steps_text(const std::vector<NextStep>& steps, int columns, const std::string& indent);

/// Those that are listed, for a terminal: what to do, what each suspect predicts, what it tells, how to give
/// it.
std::string next_text(const match::Findings& findings, const TextStyle& style);

/// The format 'tattletone next 1': suspects, experiments, outcomes, and `parts` behind them. One line.
std::string next_json(const match::Findings& findings, const base::JsonParts& parts = {});

}  // namespace tattletone::report
