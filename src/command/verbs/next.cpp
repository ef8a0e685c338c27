#include "report/text/next.h"
#include "base/text/json_writer.h"
#include "command/arguments/hearing_options.h"
#include "command/arguments/log_options.h"
#include "command/arguments/trace_options.h"
#include "command/terminal/console.h"
#include "command/unit_clips.h"

namespace tattletone::command {

int run_next(const Arguments& arguments) {
    ClipOptions clips;
    LogOptions log;
    TraceOptions chosen;
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
    declare_hearing(options, hearing);
    options.flag("--json", as_json, "one line of JSON");
    if (const auto status = options.parse(arguments)) return *status;
    if (board.empty())
        return options.wrong_usage("--board", "nobody can be suspected without a board sheet",
                                   "Give the sheet with --board");
    auto takes = list_takes(options, clips);
    if (!takes || !trace_fits(options, chosen, *takes, clips.room)) return exit_usage;
    int status = exit_done;
    const auto bench = open_bench(options, log, board, status);
    if (!bench) return status;
    const board::BoardSheet& sheet = bench->board->sheet;
    if (!fits_sheet(*takes, &sheet)) return exit_failed;
    auto trace = trace_evidence(options, chosen, &sheet, status);
    if (status != exit_done) return status;
    auto analysed = analyse_clips(std::move(*takes), clips.room);
    if (!analysed) return exit_failed;
    const report::Confirmed* const confirmed = bench->confirmed ? &*bench->confirmed : nullptr;
    const match::Findings findings =
        report::diagnose_here(&sheet, std::move(analysed->unit), confirmed, trace ? &trace->join : nullptr);
    report::TextStyle style;
    style.columns = std::min(terminal_of(Stream::out).columns, 80);
    style.room_given = analysed->room.has_value();
    std::string answer = report::next_text(findings, style);
    if (trace) answer += report::join_text(findings, trace->join, style.columns, terminal_of(Stream::out).bold);
    if (as_json) {
        base::JsonParts parts;
        if (trace) parts.push_back({"trace", report::join_json(trace->join)});
        answer = report::next_json(findings, parts) + '\n';
    }
    return print(answer) ? exit_done : exit_failed;
}

}  // namespace tattletone::command
