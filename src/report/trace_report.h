#pragma once

#include <string>
#include <vector>

#include "match/findings.h"
#include "match/trace_match.h"
#include "scope/trace_file.h"
#include "scope/trace_rate.h"

namespace tattletone::report {

/// One measured column of a trace, and which declared rate it shows.
struct TraceColumnReport {
    std::string name, unit, rail;  ///< rail: its id where it is known
    std::string warning;           ///< whole sentence, empty where there is nothing to warn of
    scope::TraceShape shape;
    bool ac_coupled = false;                ///< about 0 V in the mean on a rail that the sheet puts elsewhere
    std::string folded_from;                ///< a declared rate that the sampling folds onto what is seen; no rate then
    double folded_hz = 0.0;                 ///< that rate
    std::string level_from;                 ///< why `shape.level` is where it is, for a sentence
    std::vector<match::TraceCause> causes;  ///< empty without a sheet or a repetition
};

struct TraceReport {
    std::string origin, board;  ///< board: name and revision, empty without a sheet
    double increment_seconds = 0.0, seconds = 0.0, clock_ppm = 0.0;
    std::size_t rows = 0;
    std::vector<TraceColumnReport> columns;
    std::vector<std::string> notices, pictures;  ///< pictures: SVG by column, may be empty
};

match::TraceLine line_of(const TraceColumnReport& column, int rail,
                         double clock_ppm);  ///< needs a repetition

std::string trace_text(const TraceReport& report, int columns, bool bold);
/// One line, format "tattletone trace 1".
std::string trace_json(const TraceReport& report);
std::string trace_page(const TraceReport& report);

/// The section of a diagnosis' page about the trace that was its evidence: picture, figures, what
/// it says of the tones.
std::string page_trace(const match::Findings& findings, const match::TraceJoin& join, const TraceReport& report);

/// SVG of a column: all of it, and below it some eight periods; its title tells those who cannot
/// see it. Its marks are styled by the page, or by itself where `alone`.
std::string trace_svg(const std::vector<float>& values, double increment_seconds, const TraceColumnReport& column,
                      bool alone);

/// "Tone 1 is at 3200.04 ± 0.16 Hz: the same within the two clocks' errors".
std::string tone_sentence(const match::TraceTone& beside, const tones::UnitTones& unit, const match::TraceLine& line);
/// Puts the trace among the reasons of the suspects that it concerns.
void tell_trace(match::Findings& findings, const match::TraceJoin& join);
/// For the terminal and the page, behind the findings: what the trace says, what it changed.
std::vector<std::string> join_sentences(const match::Findings& findings, const match::TraceJoin& join);
/// The same in one sentence.
std::string join_note(const match::Findings& findings, const match::TraceJoin& join);
std::string join_text(const match::Findings& findings, const match::TraceJoin& join, int columns, bool bold);
std::string join_json(const match::TraceJoin& join);

}  // namespace tattletone::report
