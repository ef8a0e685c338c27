#include <algorithm>
#include <vector>

#include "base/text/json_writer.h"
#include "command/analysed_clips.h"
#include "command/arguments/hearing_options.h"
#include "command/arguments/log_options.h"
#include "command/arguments/options.h"
#include "command/arguments/toggle_options.h"
#include "command/arguments/trace_options.h"
#include "command/terminal/console.h"
#include "match/json/findings_json.h"
#include "report/failing.h"
#include "report/html/page.h"
#include "report/mechanism_words.h"
#include "report/next_steps.h"
#include "report/text/text.h"
#include "report/toggle_report.h"
#include "report/trace_report.h"

namespace tattletone::command {
namespace {

struct ExamineOptions {
    ClipOptions clips;
    std::string board;
    base::OutputFile report;
    bool json = false, fail_if_heard = false, all = false;
    HearingOptions hearing;
    LogOptions log;
    TraceOptions trace;
    ToggleOptions toggle;
};

void declare(Options& options, ExamineOptions& wanted) {
    declare_clips(options, wanted.clips);
    options.app.add_option("--board", wanted.board, "the board sheet")->type_name("SHEET");
    options.flag("--all", wanted.all, "every reason, tone, level, ratio and criterion behind the answer");
    options.flag("--json", wanted.json, "the findings as one line of JSON");
    options
        .output_file("--report", wanted.report, base::OutputKind::findings_page, "also write the findings as a page")
        ->type_name("FILE.html");
    options.flag("--fail-if-heard", wanted.fail_if_heard,
                 "exit status 3 when a prominent tone is the board's by evidence");
    declare_trace(options, wanted.trace);
    declare_toggle(options, wanted.toggle);
    declare_hearing(options, wanted.hearing);
    declare_log_options(options, wanted.log);
}

std::string terminal_answer(const match::Findings& findings, const board::BoardSheet* sheet,
                            const report::HearingOptions& hearing, const match::TraceJoin* trace,
                            const match::TrialJoin* trial, bool all) {
    const Terminal terminal = terminal_of(Stream::out);
    report::TextStyle style;
    style.columns = std::min(terminal.columns, 80);
    style.bold = terminal.bold;
    style.all = all;
    const auto note = [&](const char* label, const std::string& words) {
        if (!words.empty() && !all) style.notes.emplace_back(label, words);
    };
    if (sheet != nullptr) {
        note("Why", report::cause_note(findings, *sheet));
        style.more = report::cause_text(findings, *sheet, style.columns, style.bold);
    }
    if (trace != nullptr) {
        note("Trace", report::join_note(findings, *trace));
        style.more += report::join_text(findings, *trace, style.columns, style.bold);
    }
    std::string asked;
    if (trial != nullptr) {
        asked = report::trial_text(findings, *trial, style.columns, style.bold);
        style.more += asked;
    }
    const std::string hears = report::hearing_text(findings, hearing, style.columns, style.bold);
    style.more += hears;
    if (hearing.asked) asked += hears;
    return report::findings_text(findings, style) + (all ? "" : asked);
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
        "  tattletone examine take.flac --board heron.toml --far far.flac\n"
        "  tattletone examine take.flac --board heron.toml --trace rail.csv\n"
        "  tattletone examine take.flac --board heron.toml --toggle plan.csv\n"
        "  tattletone examine take.flac --log --unit 7 \\\n      --microphone laptop --distance-cm 3");
    declare(options, wanted);
    if (const auto status = options.parse(arguments)) return *status;
    auto listed = list_clips(options, wanted.clips);
    if (!listed) return exit_usage;
    if (!trace_fits(options, wanted.trace, listed->take_stdin())) return exit_usage;

    int status = exit_done;
    const auto hearing = read_hearing(options, wanted.hearing, status);
    if (!hearing) return status;
    auto bench = open_bench(options, wanted.log, wanted.board, status);
    if (!bench) return status;
    const board::BoardSheet* const sheet = bench->board ? &bench->board->sheet : nullptr;
    if (!fits_sheet(*listed, sheet)) return exit_failed;
    if (wanted.log.log && listed->take_stdin() && wanted.log.keep == "yes")
        return options.wrong_usage("--log", "standard input cannot be read again to keep it",
                                   "Give a file, or --keep no");
    auto trace = trace_evidence(options, wanted.trace, sheet, status);
    if (status != exit_done) return status;
    const auto toggled = toggled_take(options, wanted.toggle, listed->takes, sheet, status);
    if (status != exit_done) return status;
    auto clips = analyse_clips(std::move(*listed));
    if (!clips) return exit_failed;
    tones::UnitTones unit = united(std::move(*clips));
    const report::Confirmed* const confirmed = bench->confirmed ? &*bench->confirmed : nullptr;
    std::optional<match::TrialJoin> trial;
    if (toggled && !(trial = try_toggled(*toggled, sheet, unit))) return exit_failed;
    match::Findings findings = report::diagnose_here(sheet, std::move(unit), confirmed, trace ? &trace->join : nullptr,
                                                     trial ? &*trial : nullptr);
    report::screen_prominence(findings, *hearing);
    base::JsonParts parts;
    if (sheet != nullptr) {
        parts.push_back({"supply", report::supplies_json(findings, *sheet)});
        parts.push_back({"causes", report::causes_json(findings, *sheet)});
    }
    parts.push_back({"hearing", report::hearing_json(findings, *hearing)});
    if (trace) parts.push_back({"trace", report::join_json(trace->join)});
    if (trial) parts.push_back({"toggle", report::trial_json(*trial)});
    if (confirmed != nullptr && !confirmed->opinions.empty())
        parts.push_back({"confirmed", report::confirmed_json(*confirmed)});
    const std::string json = match::findings_json(findings, parts);

    if (!wanted.report.path.empty()) {
        const std::string more = (trial ? report::page_trial(findings, *trial) : "") +
                                 (trace ? report::page_trace(findings, trace->join, trace->report) : "");
        const std::string page = report::findings_page(findings, sheet, *hearing, more);
        if (const auto error = base::write_output(wanted.report, page)) {
            tell(*error);
            return exit_failed;
        }
    }
    std::string answer = json + '\n';
    if (!wanted.json) {
        answer = terminal_answer(findings, sheet, *hearing, trace ? &trace->join : nullptr, trial ? &*trial : nullptr,
                                 wanted.all);
        if (confirmed != nullptr)
            answer += report::confirmed_text(*confirmed, findings, std::min(terminal_of(Stream::out).columns, 80));
    }
    if (!print(answer)) return exit_failed;
    if (wanted.log.log) {
        std::vector<logbook::TakeToStore> kept;
        for (const tones::Take& take : findings.unit.takes)
            kept.push_back({take.path, logbook::TakeRole::take, &take.found});
        for (const tones::Take& far : findings.unit.far) kept.push_back({far.path, logbook::TakeRole::far, &far.found});
        if (clips->room) kept.push_back({wanted.clips.room, logbook::TakeRole::room, &*clips->room});
        if (!log_examination(*bench, wanted.log, findings, json, kept)) return exit_failed;
    }
    if (!wanted.fail_if_heard) return exit_done;
    if (report::tells_nothing(findings)) {
        tell_note(
            "Neither passed nor failed: the recording holds nothing that could tell. Is the microphone muted, or "
            "the recording too short?");
        return exit_cannot_tell;
    }
    const report::UnitVerdict verdict = report::unit_verdict(findings);
    if (!verdict.doubted.empty()) tell_note(verdict.doubted);
    return verdict.fails ? exit_heard : exit_done;
}

}  // namespace tattletone::command
