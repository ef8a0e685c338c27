#include <algorithm>

#include "base/text/json_writer.h"
#include "base/text/number.h"
#include "board/sheet/nearest.h"
#include "command/arguments/actions.h"
#include "command/arguments/folders.h"
#include "command/arguments/logbook_file.h"
#include "command/terminal/console.h"
#include "command/terminal/listing.h"
#include "logbook/units/measurements.h"
#include "report/confirmed.h"
#include "report/text/wrap.h"
#include "report/words.h"

namespace tattletone::command {
namespace {

int add(const Arguments& arguments) {
    logbook::Unit unit;
    std::string board, logbook_file;
    Options options("unit add", "A board with a serial number goes into the logbook.",
                    "  tattletone unit add 7 --board heron.toml --batch B1 --firmware 1.2");
    options.app.add_option("SERIAL", unit.serial, "as it stands on the board")->required()->type_name("");
    options.app.add_option("--board", board, "the board sheet; its text is kept")->required()->type_name("SHEET");
    options.app.add_option("--batch", unit.batch, "the lot that it came from")->type_name("B");
    options.app.add_option("--firmware", unit.firmware, "what runs on it")->type_name("F");
    options.app.add_option("--note", unit.note, "anything")->type_name("TEXT");
    declare_logbook(options, logbook_file);
    if (const auto status = options.parse(arguments)) return *status;
    const auto sheet = read_board(board);
    if (!sheet) return exit_failed;
    auto logbook = open_logbook(logbook_file, logbook::Logbook::Mode::create);
    if (!logbook) return exit_failed;
    const auto added = or_tell(logbook::add_unit(*logbook, unit, sheet->kept));
    if (!added) return exit_failed;
    return print_line("Unit " + added->serial + " is in the logbook " + logbook->path() + ".") ? exit_done
                                                                                               : exit_failed;
}

Listing unit_listing(const std::vector<logbook::Unit>& units) {
    Listing listing{"tattletone units 1",
                    "units",
                    {{"serial", "Unit"},
                     {"id", ""},
                     {"board", "Board"},
                     {"revision", ""},
                     {"batch", "Batch"},
                     {"firmware", "Firmware"},
                     {"measurements", "Measured", true},
                     {"measured_at", ""},
                     {"verdict", ""},
                     {"answer", "Last answer"},
                     {"added_at", ""},
                     {"retired_at", ""},
                     {"note", ""}},
                    {},
                    "The logbook has no such unit. 'tattletone unit add' adds one."};
    for (const logbook::Unit& unit : units)
        listing.rows.push_back({unit.serial, unit.id, unit.board, unit.revision, unit.batch, unit.firmware,
                                std::to_string(unit.measurements), unit.measured_at, unit.verdict, unit.answer,
                                unit.added_at, unit.retired_at, unit.note});
    return listing;
}

int list(const Arguments& arguments) {
    logbook::UnitFilter filter;
    OutputOptions chosen;
    std::string logbook_file;
    Options options("unit list", "The units of the logbook, each with its newest answer.",
                    "  tattletone unit list --batch B1");
    options.app.add_option("--batch", filter.batch, "only of this batch")->type_name("B");
    options.app.add_option("--board", filter.board, "only of the board of this name")->type_name("NAME");
    options.app.add_option("--firmware", filter.firmware, "only with this firmware")->type_name("F");
    options.flag("--retired", filter.retired_too, "the retired ones too");
    declare_output(options, chosen);
    auto [logbook, status] = parse_and_open(options, arguments, logbook_file, logbook::Logbook::Mode::existing);
    if (!logbook) return status;
    return show_all(logbook::list_units(*logbook, filter), unit_listing, chosen);
}

struct OpenedUnit {
    std::optional<logbook::Logbook> logbook;
    logbook::Unit unit;
    int status = exit_failed;
};

// As parse_and_open, and the unit with that serial number, which the command line names.
OpenedUnit parse_and_open_unit(Options& options, const Arguments& arguments, std::string& logbook_file,
                               const std::string& serial) {
    auto [logbook, status] = parse_and_open(options, arguments, logbook_file, logbook::Logbook::Mode::existing);
    if (!logbook) return {std::nullopt, {}, status};
    auto unit = or_tell(logbook::find_unit(*logbook, serial));
    if (!unit) return {};
    return {std::move(logbook), std::move(*unit)};
}

std::string states_of(const logbook::Measurement& measurement) {
    std::string text;
    for (const auto& take : measurement.takes) {
        const std::string name = take.role == logbook::TakeRole::room  ? "room"
                                 : take.role == logbook::TakeRole::far ? "far"
                                 : !take.state.empty()                 ? take.state
                                                                       : take.spot;
        if (!name.empty()) text += (text.empty() ? "" : ", ") + name;
    }
    return text;
}

Listing measurement_listing(const std::vector<logbook::Measurement>& measurements) {
    Listing listing{"tattletone measurements 1",
                    "measurements",
                    {{"id", ""},
                     {"measured_at", ""},
                     {"when", "When (UTC)"},
                     {"measured_by", "By"},
                     {"states", "States"},
                     {"label", "Label"},
                     {"firmware", ""},
                     {"microphone", ""},
                     {"distance_cm", "", true},
                     {"verdict", ""},
                     {"answer", "Answer"},
                     {"note", ""}},
                    {},
                    "Nothing was measured yet: 'tattletone examine FILE --log --unit SERIAL'."};
    for (const logbook::Measurement& m : measurements) {
        const logbook::Circumstances& c = m.circumstances;
        listing.rows.push_back({m.id, m.measured_at, report::minute_of(m.measured_at), c.measured_by, states_of(m),
                                c.label, c.firmware, c.microphone,
                                c.distance_cm ? base::trimmed(*c.distance_cm, 1) : "", m.verdict, m.answer, c.note});
    }
    return listing;
}

std::string unit_json(logbook::Logbook& logbook, const logbook::Unit& unit,
                      const std::vector<logbook::Opinion>& opinions,
                      const std::vector<logbook::Measurement>& measurements) {
    base::JsonWriter json;
    json.open('{').key("format").text("tattletone unit 1");
    json.key("serial").text(unit.serial).key("id").text(unit.id);
    json.key("board").text(unit.board).key("revision").text_or_null(unit.revision);
    json.key("sheet_sha256").text(unit.sheet);
    json.key("batch").text_or_null(unit.batch).key("firmware").text_or_null(unit.firmware);
    json.key("note").text_or_null(unit.note);
    json.key("added_at").text(unit.added_at).key("retired_at").text_or_null(unit.retired_at);
    json.key("said").open('[');
    for (const logbook::Opinion& o : opinions) {
        json.open('{').key("rate").text(o.rate).key("said").text(o.said);
        json.key("cause").text_or_null(o.cause).key("fix").text_or_null(o.fix);
        json.key("said_by").text_or_null(o.said_by).key("said_at").text(o.said_at).close('}');
    }
    json.close(']').key("measurements").open('[');
    for (const logbook::Measurement& m : measurements) {
        const logbook::Circumstances& c = m.circumstances;
        json.open('{').key("id").text(m.id).key("measured_at").text(m.measured_at);
        json.key("measured_by").text_or_null(c.measured_by).key("firmware").text_or_null(c.firmware);
        json.key("label").text_or_null(c.label).key("microphone").text_or_null(c.microphone);
        json.key("distance_cm");
        c.distance_cm ? json.whole_or_real(*c.distance_cm, 1) : json.null();
        json.key("note").text_or_null(c.note).key("verdict").text(m.verdict);
        json.key("answer").text(m.answer).key("recordings").open('[');
        for (const auto& take : m.takes) {
            json.open('{').key("path").text(take.path).key("state").text_or_null(take.state);
            json.key("spot").text_or_null(take.spot).key("room").boolean(take.role == logbook::TakeRole::room);
            json.key("far").boolean(take.role == logbook::TakeRole::far);
            json.key("clip");
            json.text_or_null(logbook::clip_path(logbook, take.clip));
            json.close('}');
        }
        json.close(']').close('}');
    }
    return json.close(']').close('}').str() + '\n';
}

std::string unit_text(const logbook::Unit& unit, const std::vector<logbook::Opinion>& opinions,
                      const std::vector<logbook::Measurement>& measurements, int columns) {
    std::string first = "Unit " + unit.serial + ": " + unit.board;
    if (!unit.revision.empty()) first += " " + unit.revision;
    if (!unit.batch.empty()) first += ", batch " + unit.batch;
    if (!unit.firmware.empty()) first += ", firmware " + unit.firmware;
    first += ", in the logbook since " + unit.added_at.substr(0, 10);
    if (!unit.retired_at.empty()) first += ", retired " + unit.retired_at.substr(0, 10);
    std::string text = report::wrapped(first + ".", columns);
    if (!unit.note.empty()) text += report::wrapped_lines(unit.note, columns);
    if (!unit.answer.empty()) text += '\n' + report::wrapped(unit.answer, columns);
    const auto sentences = report::confirmed_sentences(opinions);
    if (!sentences.empty()) text += "\nWhat people said\n";
    for (const std::string& sentence : sentences) text += report::wrapped(sentence, columns, "  ", "  ");
    return text + "\nMeasurements\n" + listing_text(measurement_listing(measurements), columns);
}

int show_unit(const Arguments& arguments) {
    std::string serial, logbook_file;
    OutputOptions chosen;
    Options options("unit show", "One unit: what it is, what people said, every measurement.",
                    "  tattletone unit show 7");
    options.app.add_option("SERIAL", serial, "the unit")->required()->type_name("");
    declare_output(options, chosen);
    auto [logbook, unit, status] = parse_and_open_unit(options, arguments, logbook_file, serial);
    if (!logbook) return status;
    const auto opinions = or_tell(logbook::latest_opinions(*logbook, "", unit.id));
    const auto measurements = or_tell(logbook::list_measurements(*logbook, unit.id));
    if (!opinions || !measurements) return exit_failed;
    if (chosen.csv) return show(measurement_listing(*measurements), chosen);
    const int columns = std::min(terminal_of(Stream::out).columns, 100);
    return print(chosen.json ? unit_json(*logbook, unit, *opinions, *measurements)
                             : unit_text(unit, *opinions, *measurements, columns))
               ? exit_done
               : exit_failed;
}

int rename(const Arguments& arguments) {
    std::string serial, wanted, logbook_file;
    Options options("unit rename", "Gives a unit another serial number; its history stays with it.",
                    "  tattletone unit rename 7 7-reworked");
    options.app.add_option("SERIAL", serial, "the unit")->required()->type_name("");
    options.app.add_option("NEW", wanted, "its new serial number")->required()->type_name("");
    auto [logbook, unit, status] = parse_and_open_unit(options, arguments, logbook_file, serial);
    if (!logbook) return status;
    if (const auto error = logbook::rename_unit(*logbook, unit.id, wanted)) {
        tell(*error);
        return exit_failed;
    }
    return print_line("Unit " + serial + " is now unit " + wanted + ".") ? exit_done : exit_failed;
}

int retire(const Arguments& arguments) {
    std::string serial, logbook_file;
    bool undo = false;
    Options options("unit retire",
                    "Takes a unit out of lists and batches. Everything that it has stays, and --undo "
                    "takes it back.",
                    "  tattletone unit retire 7");
    options.app.add_option("SERIAL", serial, "the unit")->required()->type_name("");
    options.flag("--undo", undo, "take it back into use");
    auto [logbook, unit, status] = parse_and_open_unit(options, arguments, logbook_file, serial);
    if (!logbook) return status;
    if (const auto error = logbook::retire_unit(*logbook, unit.id, !undo)) {
        tell(*error);
        return exit_failed;
    }
    return print_line("Unit " + unit.serial + (undo ? " is in use again." : " is retired.")) ? exit_done : exit_failed;
}

int say(const Arguments& arguments, const std::string& action, const std::string& said, const std::string& summary,
        const std::string& example) {
    std::string serial, logbook_file, by;
    logbook::Opinion opinion;
    Options options("unit " + action, summary, example);
    options.app.add_option("SERIAL", serial, "the unit")->required()->type_name("");
    options.app.add_option("RATE", opinion.rate, "the rate, as ranger.frame")->required()->type_name("");
    if (said == "confirmed") {
        options.app.add_option("--cause", opinion.cause, "why it sang")->type_name("TEXT");
        options.app.add_option("--fix", opinion.fix, "what silenced it")->type_name("TEXT");
    } else {
        options.app.add_option("--cause", opinion.cause, "why you think so")->type_name("TEXT");
    }
    options.app.add_option("--by", by, "who says so, if not you")->type_name("NAME");
    auto [logbook, unit, status] = parse_and_open_unit(options, arguments, logbook_file, serial);
    if (!logbook) return status;
    const auto board = kept_board(*logbook, unit.sheet);
    if (!board) return exit_failed;
    std::vector<std::string> rates;
    for (const board::Rate& rate : board->sheet.rates) rates.push_back(rate.full_name);
    if (std::find(rates.begin(), rates.end(), opinion.rate) == rates.end()) {
        const std::string nearest = board::nearest_word(opinion.rate, rates);
        tell({"unit '" + unit.serial + "'", "its board sheet declares no rate '" + opinion.rate + "'",
              nearest.empty() ? "'tattletone predict SHEET' lists the rates of a board"
                              : "Did you mean '" + nearest + "'? 'tattletone predict SHEET' lists all"});
        return exit_failed;
    }
    opinion.unit = unit.id;
    opinion.board = unit.board;
    opinion.said = said;
    opinion.said_by = by.empty() ? user_name() : by;
    if (const auto error = logbook::add_opinion(*logbook, opinion)) {
        tell(*error);
        return exit_failed;
    }
    return print_line("Unit " + unit.serial + ": " + opinion.rate +
                      (said == "open" ? " is open again." : " is " + said + "."))
               ? exit_done
               : exit_failed;
}

int confirm(const Arguments& arguments) {
    return say(arguments, "confirm", "confirmed",
               "Says that this rate was the culprit in a unit. Later diagnoses of the same board show it "
               "and take the rate's prior odds (1 + confirmed) / (1 + rejected) times as high, within 1/4 "
               "and 4, counted in units.",
               "  tattletone unit confirm 7 ranger.frame --cause \"regulator starved\" --fix R2");
}

int reject(const Arguments& arguments) {
    return say(arguments, "reject", "rejected", "Says that this rate was not the culprit in a unit.",
               "  tattletone unit reject 7 lamp.dimming --cause \"silent, and the tone stayed\"");
}

int reopen(const Arguments& arguments) {
    return say(arguments, "reopen", "open", "Takes back what was said of a rate in a unit.",
               "  tattletone unit reopen 7 ranger.frame");
}

}  // namespace

int run_unit(const Arguments& arguments) {
    static constexpr Verb actions[] = {
        {"add", "a new unit with its board sheet, batch and firmware", add},
        {"list", "the units with their newest answers", list},
        {"show", "one unit with every measurement", show_unit},
        {"rename", "another serial number for a unit", rename},
        {"retire", "take a unit out of use, or back with --undo", retire},
        {"confirm", "this rate was the culprit: cause and fix", confirm},
        {"reject", "this rate was not the culprit", reject},
        {"reopen", "take back what was said", reopen},
    };
    return run_action("unit",
                      "Units are boards with a serial number. Measurements are stored with 'examine … "
                      "--log --unit SERIAL'.",
                      actions, arguments);
}

}  // namespace tattletone::command
