#pragma once

#include <optional>
#include <string>
#include <vector>

#include "command/logbook_file.h"
#include "command/options.h"
#include "logbook/measurements.h"
#include "session/confirmed.h"

namespace tattletone {

/// What `examine` is asked about the logbook.
struct LogWish {
    bool log = false, ignore_confirmed = false;
    std::string unit, microphone, distance_cm, note, label, firmware, by, keep = "yes", logbook;
};
void declare_log_wish(Options& options, LogWish& wish);

/// The logbook behind one examination: which unit it is of, the unit's sheet where no other was given,
/// and what the bench has confirmed of that board.
struct Bench {
    std::optional<Logbook> logbook;
    std::optional<Unit> unit;
    std::optional<ReadSheet> board;
    std::optional<Confirmed> confirmed;
    std::optional<double> distance_cm;
};

/// Opens what the wish needs; `board_path` may be empty. Without --log, --unit or --logbook the usual
/// logbook is looked at where there is one. Nothing when an error was told; `status` says which.
std::optional<Bench> open_bench(const Options& options, const LogWish& wish,
                                const std::string& board_path, int& status);

/// Stores the examination. False when an error was told.
bool log_examination(Bench& bench, const LogWish& wish, const Findings& findings,
                     const std::string& json, const std::vector<TakeToStore>& takes);

}  // namespace tattletone
