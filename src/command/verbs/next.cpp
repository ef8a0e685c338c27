#include "report/text/next.h"
#include "base/text/json_writer.h"
#include "command/analysed_clips.h"
#include "command/arguments/hearing_options.h"
#include "command/arguments/log_options.h"
#include "command/arguments/toggle_options.h"
#include "command/arguments/trace_options.h"
#include "command/terminal/console.h"
#include "report/toggle_report.h"

namespace tattletone::command {

int run_next(const Arguments& arguments) {
    ClipOptions clips;
    LogOptions log;
    TraceOptions chosen;
    ToggleOptions toggle;
    HearingOptions hearing;
    std::string board;
    bool as_json = false;
    Options options("next",
                    "What to do next at the bench: the experiments that would tell the present "
                    "suspects apart, that which "
                    "tells most per minute of effort first, with what each suspect predicts. Takes "
                    "the recordings as "
                    "'examine' does; give the new one along and ask again. --hearing and "
                    "--calibration change nothing here: they are taken so that a command line of "
                    "'examine' can be used again.",
                    "  tattletone next take.flac --board heron.toml\n"
                    "  tattletone next take.flac --board heron.toml \\\n"
                    "      --changed lamp.dimming=4297:moved.flac --off ranger:without.flac\n"
                    "  tattletone next take.flac --board heron.toml --trace rail.csv");
    declare_clips(options, clips);
    options.app.add_option("--board", board, "the board sheet")->type_name("SHEET");
    declare_trace(options, chosen);
    declare_toggle(options, toggle);
    declare_unit_options(options, log);
    declare_hearing(options, hearing);
    options.flag("--json", as_json, "one line of JSON");
    if (const auto status = options.parse(arguments)) return *status;
    if (board.empty() && log.unit.empty())
        return options.wrong_usage("--board", "nobody can be suspected without a board sheet",
                                   "Give the sheet with --board, or --unit SERIAL of a logged unit");
    auto listed = list_clips(options, clips);
    if (!listed || !trace_fits(options, chosen, listed->take_stdin())) return exit_usage;
    int status = exit_done;
    const auto bench = open_bench(options, log, board, status);
    if (!bench) return status;
    const board::BoardSheet& sheet = bench->board->sheet;
    if (!fits_sheet(*listed, &sheet)) return exit_failed;
    auto trace = trace_evidence(options, chosen, &sheet, status);
    if (status != exit_done) return status;
    const auto toggled = toggled_take(options, toggle, listed->takes, &sheet, status);
    if (status != exit_done) return status;
    auto analysed = analyse_clips(std::move(*listed));
    if (!analysed) return exit_failed;
    tones::UnitTones unit = united(std::move(*analysed));
    const report::Confirmed* const confirmed = bench->confirmed ? &*bench->confirmed : nullptr;
    std::optional<match::TrialJoin> trial;
    if (toggled && !(trial = try_toggled(*toggled, &sheet, unit))) return exit_failed;
    const match::Findings findings = report::diagnose_here(&sheet, std::move(unit), confirmed,
                                                           trace ? &trace->join : nullptr, trial ? &*trial : nullptr);
    report::TextStyle style;
    style.columns = std::min(terminal_of(Stream::out).columns, 80);
    std::string answer = report::next_text(findings, style);
    if (trace) answer += report::join_text(findings, trace->join, style.columns, terminal_of(Stream::out).bold);
    if (trial) answer += report::trial_text(findings, *trial, style.columns, terminal_of(Stream::out).bold);
    if (as_json) {
        base::JsonParts parts;
        if (trace) parts.push_back({"trace", report::join_json(trace->join)});
        if (trial) parts.push_back({"toggle", report::trial_json(*trial)});
        answer = report::next_json(findings, parts) + '\n';
    }
    return print(answer) ? exit_done : exit_failed;
}

}  // namespace tattletone::command
