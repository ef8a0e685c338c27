#pragma once

#include <optional>
#include <string>

#include "board/sheet.h"
#include "command/options.h"
#include "match/trace_match.h"
#include "report/trace_report.h"

namespace tattletone {

/// What is asked of an oscilloscope's file, as the user typed it.
struct TraceWish {
    std::string file, column, rail, below, interval, clock_ppm;
};

struct ReadTrace {
    TraceFile file;
    TraceReport report;
    std::vector<int> rails;              ///< by column of the report, -1: not known
};

/// Reads and measures; `sheet` may be null. Nothing when an error was told; `status` says which.
std::optional<ReadTrace> read_trace_of(const Options& options, const TraceWish& wish, const BoardSheet* sheet, int& status);

/// The trace of `examine --trace`: the column asked for, else the one of a known rail, else the first that
/// repeats. Nothing when an error was told.
std::optional<TraceLine> trace_evidence(const Options& options, const TraceWish& wish, const BoardSheet* sheet, int& status);

}  // namespace tattletone
