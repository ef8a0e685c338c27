#pragma once

#include <optional>
#include <string>
#include <vector>

#include "command/arguments/logbook_file.h"
#include "command/arguments/options.h"
#include "logbook/units/measurements.h"
#include "report/confirmed.h"

namespace tattletone::command {

/// What `examine` and `next` are asked about the logbook.
struct LogOptions {
    bool log = false, ignore_confirmed = false;
    std::string unit, microphone, distance_cm, note, label, firmware, by, keep = "yes", logbook;
};
/// What bears on the diagnosis: whose recordings, and what the bench has confirmed.
void declare_unit_options(Options& options, LogOptions& chosen);
/// These and what a log needs.
void declare_log_options(Options& options, LogOptions& chosen);

/// The logbook behind one examination: which unit it is of, the unit's sheet where no other was given,
/// and what the bench has confirmed of that board.
struct Bench {
    std::optional<logbook::Logbook> logbook;
    std::optional<logbook::Unit> unit;
    std::optional<session::ReadSheet> board;
    std::optional<report::Confirmed> confirmed;
    std::optional<double> distance_cm;
};

/// Opens what the chosen needs; `board_path` may be empty. Without --log, --unit or --logbook the usual
/// logbook is looked at where there is one. Nothing when an error was told; `status` says which.
std::optional<Bench> open_bench(const Options& options, const LogOptions& chosen, const std::string& board_path,
                                int& status);

/// Stores the examination. False when an error was told.
bool log_examination(Bench& bench, const LogOptions& chosen, const match::Findings& findings, const std::string& json,
                     const std::vector<logbook::TakeToStore>& takes);

}  // namespace tattletone::command
