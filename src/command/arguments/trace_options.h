#pragma once

#include <optional>
#include <string>
#include <vector>

#include "board/sheet/sheet.h"
#include "command/arguments/options.h"
#include "match/trace_match.h"
#include "report/trace_report.h"

namespace tattletone::command {

/// What is asked of an oscilloscope's file, as the user typed it.
struct TraceOptions {
    std::string file, column, rail, below, interval, clock_ppm;
};
/// The options of `examine`, `next` and `listen`.
void declare_trace(Options& options, TraceOptions& chosen);
/// False when wrong usage was told: a setting without a trace, or standard input asked for twice.
bool trace_fits(const Options& options, const TraceOptions& chosen, bool take_stdin);

struct ReadTrace {
    scope::TraceFile file;
    report::TraceReport report;
    std::vector<int> rails;  ///< by column of the report, -1: not known
};

/// Reads and measures; `sheet` may be null. Nothing when an error was told; `status` says which.
std::optional<ReadTrace> read_trace_of(const Options& options, const TraceOptions& chosen,
                                       const board::BoardSheet* sheet, int& status);

struct TraceEvidence {
    match::TraceJoin join;
    report::TraceReport report;  ///< of that column alone, with its picture
};

/// The trace of `examine --trace`: the column asked for, else the one of a known rail, else the
/// first that repeats. Nothing where none was asked for, or an error was told: see `status`.
std::optional<TraceEvidence> trace_evidence(const Options& options, const TraceOptions& chosen,
                                            const board::BoardSheet* sheet, int& status);

}  // namespace tattletone::command
