#include "command/arguments/log_options.h"

#include <filesystem>

#include "base/files/paths.h"
#include "command/arguments/folders.h"
#include "command/terminal/console.h"
#include "report/words.h"

namespace tattletone::command {

void declare_unit_options(Options& options, LogOptions& chosen) {
    options.app
        .add_option("--unit", chosen.unit,
                    "whose recordings these are; its board sheet is used where "
                    "--board is not given")
        ->type_name("SERIAL");
    options.flag("--ignore-confirmed", chosen.ignore_confirmed,
                 "diagnose without what this bench has confirmed or rejected");
    declare_logbook(options, chosen.logbook);
}

void declare_log_options(Options& options, LogOptions& chosen) {
    OptionTable& app = options.app;
    options.flag("--log", chosen.log, "store this in the logbook, with --unit");
    declare_unit_options(options, chosen);
    app.add_option("--microphone", chosen.microphone, "for the log: which one")->type_name("NAME");
    app.add_option("--distance-cm", chosen.distance_cm, "for the log: from the board")->type_name("CM");
    app.add_option("--note", chosen.note, "for the log: anything")->type_name("TEXT");
    app.add_option("--label", chosen.label, "for the log: a word to compare by, as 'before'")->type_name("WORD");
    app.add_option("--firmware", chosen.firmware, "for the log: if not the unit's")->type_name("F");
    app.add_option("--by", chosen.by, "for the log: who measured, if not you")->type_name("NAME");
    app.add_option("--keep", chosen.keep, "for the log: keep the recordings, yes (usual) or no")->type_name("yes|no");
}

std::optional<Bench> open_bench(const Options& options, const LogOptions& chosen, const std::string& board_path,
                                int& status) {
    Bench bench;
    status = exit_usage;
    if (chosen.log && chosen.unit.empty()) {
        options.wrong_usage("--log", "the unit is missing", "Say whose recordings these are with --unit SERIAL");
        return std::nullopt;
    }
    if (chosen.keep != "yes" && chosen.keep != "no") {
        options.wrong_usage("--keep", "'" + chosen.keep + "' is neither yes nor no", "");
        return std::nullopt;
    }
    if (!chosen.distance_cm.empty()) {
        bench.distance_cm = options.number("--distance-cm", chosen.distance_cm, 0.0, 10000.0);
        if (!bench.distance_cm) return std::nullopt;
    }
    status = exit_failed;
    const std::string path = logbook_path(chosen.logbook);
    std::error_code problem;
    const bool there = !path.empty() && std::filesystem::exists(base::path_of(path), problem);
    const bool needed = chosen.log || !chosen.unit.empty() || !chosen.logbook.empty();
    if (needed || (there && !board_path.empty() && !chosen.ignore_confirmed)) {
        bench.logbook = open_logbook(chosen.logbook, logbook::Logbook::Mode::existing);
        if (!bench.logbook) return std::nullopt;
    }
    if (!chosen.unit.empty()) {
        bench.unit = or_tell(logbook::find_unit(*bench.logbook, chosen.unit));
        if (!bench.unit) return std::nullopt;
    }
    if (!board_path.empty())
        bench.board = read_board(board_path);
    else if (bench.unit)
        bench.board = kept_board(*bench.logbook, bench.unit->sheet);
    if (!bench.board && (!board_path.empty() || bench.unit)) return std::nullopt;
    if (bench.logbook && bench.board && !chosen.ignore_confirmed) {
        bench.confirmed = or_tell(report::confirmed_on(*bench.logbook, bench.board->sheet.name));
        if (!bench.confirmed) return std::nullopt;
    }
    status = exit_done;
    return bench;
}

bool log_examination(Bench& bench, const LogOptions& chosen, const match::Findings& findings, const std::string& json,
                     const std::vector<logbook::TakeToStore>& takes) {
    logbook::Circumstances circumstances;
    circumstances.measured_by = chosen.by.empty() ? user_name() : chosen.by;
    circumstances.firmware = chosen.firmware.empty() ? bench.unit->firmware : chosen.firmware;
    circumstances.microphone = chosen.microphone;
    circumstances.note = chosen.note;
    circumstances.label = chosen.label;
    circumstances.distance_cm = bench.distance_cm;
    const logbook::PrintedFindings printed{&findings, json, report::answer_line(findings),
                                           match::verdict_word(findings.verdict)};
    const auto id =
        or_tell(logbook::store_measurement(*bench.logbook, *bench.unit, bench.board ? &bench.board->kept : nullptr,
                                           printed, circumstances, takes, chosen.keep == "yes"));
    if (!id) return false;
    tell_note("Stored as measurement " + id->substr(0, 8) + " of unit " + bench.unit->serial + ".");
    if (!bench.unit->retired_at.empty())
        tell_note("Unit " + bench.unit->serial +
                  " is retired: lists, batches and comparisons leave it out until 'tattletone unit retire " +
                  bench.unit->serial + " --undo'.");
    return true;
}

}  // namespace tattletone::command
