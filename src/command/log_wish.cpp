#include "command/log_wish.h"

#include <filesystem>

#include "command/console.h"
#include "command/folders.h"
#include "report/words.h"

namespace tattletone {

void declare_log_wish(Options& options, LogWish& wish) {
    OptionTable& app = options.app;
    options.flag("--log", wish.log, "store this in the logbook, with --unit");
    app.add_option("--unit", wish.unit, "whose recordings these are; its board sheet is used where "
                                        "--board is not given")
        ->type_name("SERIAL");
    app.add_option("--microphone", wish.microphone, "for the log: which one")->type_name("NAME");
    app.add_option("--distance-cm", wish.distance_cm, "for the log: from the board")->type_name("CM");
    app.add_option("--note", wish.note, "for the log: anything")->type_name("TEXT");
    app.add_option("--label", wish.label, "for the log: a word to compare by, as 'before'")
        ->type_name("WORD");
    app.add_option("--firmware", wish.firmware, "for the log: if not the unit's")->type_name("F");
    app.add_option("--by", wish.by, "for the log: who measured, if not you")->type_name("NAME");
    app.add_option("--keep", wish.keep, "for the log: keep the recordings, yes (usual) or no")
        ->type_name("yes|no");
    options.flag("--ignore-confirmed", wish.ignore_confirmed,
                 "diagnose without what this bench has confirmed or rejected");
    declare_logbook(options, wish.logbook);
}

std::optional<Bench> open_bench(const Options& options, const LogWish& wish,
                                const std::string& board_path, int& status) {
    Bench bench;
    status = exit_usage;
    if (wish.log && wish.unit.empty()) {
        options.wrong_usage("--log", "the unit is missing", "Say whose recordings these are with --unit SERIAL");
        return std::nullopt;
    }
    if (wish.keep != "yes" && wish.keep != "no") {
        options.wrong_usage("--keep", "'" + wish.keep + "' is neither yes nor no", "");
        return std::nullopt;
    }
    if (!wish.distance_cm.empty()) {
        bench.distance_cm = options.number("--distance-cm", wish.distance_cm, 0.0, 10000.0);
        if (!bench.distance_cm) return std::nullopt;
    }
    status = exit_failed;
    const std::string path = logbook_path(wish.logbook);
    std::error_code problem;
    const bool there =
        !path.empty() &&
        std::filesystem::exists(std::filesystem::path(std::u8string(path.begin(), path.end())), problem);
    const bool needed = wish.log || !wish.unit.empty() || !wish.logbook.empty();
    if (needed || (there && !board_path.empty() && !wish.ignore_confirmed)) {
        bench.logbook = open_logbook(wish.logbook, Logbook::Mode::existing);
        if (!bench.logbook) return std::nullopt;
    }
    if (!wish.unit.empty()) {
        bench.unit = or_tell(find_unit(*bench.logbook, wish.unit));
        if (!bench.unit) return std::nullopt;
    }
    if (!board_path.empty())
        bench.board = read_board(board_path);
    else if (bench.unit)
        bench.board = kept_board(*bench.logbook, bench.unit->sheet);
    if (!bench.board && (!board_path.empty() || bench.unit)) return std::nullopt;
    if (bench.logbook && bench.board && !wish.ignore_confirmed) {
        bench.confirmed = or_tell(confirmed_on(*bench.logbook, bench.board->sheet.name));
        if (!bench.confirmed) return std::nullopt;
    }
    status = exit_done;
    return bench;
}

bool log_examination(Bench& bench, const LogWish& wish, const Findings& findings,
                     const std::string& json, const std::vector<TakeToStore>& takes) {
    Circumstances circumstances;
    circumstances.measured_by = wish.by.empty() ? user_name() : wish.by;
    circumstances.firmware = wish.firmware.empty() ? bench.unit->firmware : wish.firmware;
    circumstances.microphone = wish.microphone;
    circumstances.note = wish.note;
    circumstances.label = wish.label;
    circumstances.distance_cm = bench.distance_cm;
    const PrintedFindings printed{&findings, json, answer_sentence(findings),
                                  verdict_word(findings.verdict)};
    const auto id =
        or_tell(store_measurement(*bench.logbook, *bench.unit, bench.board ? &bench.board->kept : nullptr,
                                  printed, circumstances, takes, wish.keep == "yes"));
    if (!id) return false;
    tell_note("Stored as measurement " + id->substr(0, 8) + " of unit " + bench.unit->serial + ".");
    if (!bench.unit->retired_at.empty())
        tell_note("Unit " + bench.unit->serial +
                  " is retired: lists, batches and comparisons leave it out until 'tattletone unit retire " +
                  bench.unit->serial + " --undo'.");
    return true;
}

}  // namespace tattletone
