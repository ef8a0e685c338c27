#include <algorithm>
#include <vector>

#include "base/text/json_writer.h"
#include "command/arguments/hearing_options.h"
#include "command/arguments/log_options.h"
#include "command/arguments/options.h"
#include "command/arguments/trace_options.h"
#include "command/terminal/console.h"
#include "command/unit_clips.h"
#include "match/json/findings_json.h"
#include "report/html/page.h"
#include "report/mechanism_words.h"
#include "report/text/text.h"
#include "report/trace_report.h"

namespace tattletone::command {
namespace {

struct ExamineOptions {
    ClipOptions clips;
    std::string board;
    base::OutputFile report;
    bool json = false, fail_if_heard = false;
    HearingOptions hearing;
    LogOptions log;
    TraceOptions trace;
};

void declare(Options& options, ExamineOptions& wanted) {
    declare_clips(options, wanted.clips);
    options.app.add_option("--board", wanted.board, "the board sheet")->type_name("SHEET");
    options.flag("--json", wanted.json, "the findings as one line of JSON");
    options
        .output_file("--report", wanted.report, base::OutputKind::findings_page, "also write the findings as a page")
        ->type_name("FILE.html");
    options.flag("--fail-if-heard", wanted.fail_if_heard, "exit status 3 when a prominent board tone is there");
    declare_trace(options, wanted.trace);
    declare_hearing(options, wanted.hearing);
    declare_log_options(options, wanted.log);
}

std::string terminal_answer(const match::Findings& findings, const board::BoardSheet* sheet,
                            const report::HearingOptions& hearing, const match::TraceJoin* trace, bool room_given) {
    const Terminal terminal = terminal_of(Stream::out);
    report::TextStyle style;
    style.columns = std::min(terminal.columns, 80);
    style.bold = terminal.bold;
    style.room_given = room_given;
    if (sheet != nullptr) style.more = report::cause_text(findings, *sheet, style.columns, style.bold);
    if (trace != nullptr) style.more += report::join_text(findings, *trace, style.columns, style.bold);
    style.more += report::hearing_text(findings, hearing, style.columns, style.bold);
    return report::findings_text(findings, style);
}

bool heard_prominently(const match::Findings& findings) {
    return std::any_of(findings.unit.tones.begin(), findings.unit.tones.end(), [](const tones::UnitTone& tone) {
        return tone.tone.origin == tones::Origin::board && tone.tone.prominent.value_or(false);
    });
}

}  // namespace

int run_examine(const Arguments& arguments) {
    ExamineOptions wanted;
    Options options(
        "examine",
        "The whole diagnosis of recordings of one unit: the tones in them, where these\n"
        "come from, and which of the declared rates is singing.",
        "  tattletone examine take.flac --board heron.toml\n"
        "  tattletone examine --board heron.toml --room room.flac \\\n"
        "      --state idle=idle.flac --state ranging=ranging.flac --report heron.html\n"
        "  tattletone examine take.flac --board heron.toml \\\n      --calibration 94=cal.wav --hearing 55\n"
        "  tattletone examine take.flac --board heron.toml \\\n"
        "      --changed lamp.dimming=4297:moved.flac --off ranger:without.flac\n"
        "  tattletone examine take.flac --board heron.toml --trace rail.csv\n"
        "  tattletone examine take.flac --log --unit 7 \\\n      --microphone laptop --distance-cm 3");
    declare(options, wanted);
    if (const auto status = options.parse(arguments)) return *status;
    auto takes = list_takes(options, wanted.clips);
    if (!takes) return exit_usage;
    if (!trace_fits(options, wanted.trace, *takes, wanted.clips.room)) return exit_usage;

    int status = exit_done;
    const auto hearing = read_hearing(options, wanted.hearing, status);
    if (!hearing) return status;
    auto bench = open_bench(options, wanted.log, wanted.board, status);
    if (!bench) return status;
    const board::BoardSheet* const sheet = bench->board ? &bench->board->sheet : nullptr;
    if (!fits_sheet(*takes, sheet)) return exit_failed;
    for (const tones::Take& take : *takes)
        if (wanted.log.log && take.path == "-" && wanted.log.keep == "yes")
            return options.wrong_usage("--log", "standard input cannot be read again to keep it",
                                       "Give a file, or --keep no");
    auto trace = trace_evidence(options, wanted.trace, sheet, status);
    if (status != exit_done) return status;
    auto clips = analyse_clips(std::move(*takes), wanted.clips.room);
    if (!clips) return exit_failed;
    const bool room_given = clips->room.has_value();
    const report::Confirmed* const confirmed = bench->confirmed ? &*bench->confirmed : nullptr;
    const match::Findings findings =
        report::diagnose_here(sheet, std::move(clips->unit), confirmed, trace ? &trace->join : nullptr);
    base::JsonParts parts;
    if (sheet != nullptr) {
        parts.push_back({"supply", report::supplies_json(findings, *sheet)});
        parts.push_back({"causes", report::causes_json(findings, *sheet)});
    }
    parts.push_back({"hearing", report::hearing_json(findings, *hearing)});
    if (trace) parts.push_back({"trace", report::join_json(trace->join)});
    if (confirmed != nullptr && !confirmed->opinions.empty())
        parts.push_back({"confirmed", report::confirmed_json(*confirmed)});
    const std::string json = match::findings_json(findings, parts);

    if (!wanted.report.path.empty()) {
        const std::string page =
            report::findings_page(findings, sheet, room_given, *hearing,
                                  trace ? report::page_trace(findings, trace->join, trace->report) : "");
        if (const auto error = base::write_output(wanted.report, page)) {
            tell(*error);
            return exit_failed;
        }
    }
    std::string answer = json + '\n';
    if (!wanted.json) {
        answer = terminal_answer(findings, sheet, *hearing, trace ? &trace->join : nullptr, room_given);
        if (confirmed != nullptr)
            answer += report::confirmed_text(*confirmed, findings, std::min(terminal_of(Stream::out).columns, 80));
    }
    if (!print(answer)) return exit_failed;
    if (wanted.log.log) {
        std::vector<logbook::TakeToStore> kept;
        for (const tones::Take& take : findings.unit.takes) kept.push_back({take.path, false, &take.found});
        if (clips->room) kept.push_back({wanted.clips.room, true, &*clips->room});
        if (!log_examination(*bench, wanted.log, findings, json, kept)) return exit_failed;
    }
    return wanted.fail_if_heard && heard_prominently(findings) ? exit_heard : exit_done;
}

}  // namespace tattletone::command
