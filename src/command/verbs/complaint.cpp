#include "base/text/number.h"
#include "command/arguments/actions.h"
#include "command/complaint_intake.h"
#include "command/terminal/console.h"
#include "command/terminal/listing.h"
#include "report/text/wrap.h"
#include "report/words.h"

namespace tattletone::command {
namespace {

std::string complaint_text(const logbook::Complaint& c) {
    std::string text = report::wrapped(
        "Complaint " + c.id.substr(0, 8) + ": " + c.kind + (c.rate.empty() ? "" : ", " + c.rate) +
            (c.serial.empty() ? "" : ", unit " + c.serial) + (c.board.empty() ? "" : ", board " + c.board) + ".",
        80);
    if (!c.text.empty()) text += report::wrapped_lines("\"" + c.text + "\"", 80);
    text += report::wrapped(c.answer + " The clip is usable from " + base::short_hz(c.usable_low_hz) + " to " +
                                base::short_hz(c.usable_high_hz) + ".",
                            80);
    if (!c.closed_at.empty()) text += report::wrapped("Closed " + c.closed_at.substr(0, 10) + ": " + c.outcome, 80);
    text += "\nDraft of a reply\n";
    return text + report::wrapped_lines(c.reply, 80, "  ");
}

int add_complaint(const Arguments& arguments) {
    std::string clip, serial, board, keep = "yes", logbook_file;
    Intake intake;
    Options options("complaint add", "Examines a tester's clip, sorts the complaint and drafts the reply.",
                    "  tattletone complaint add whine.m4a --text \"it sings when dark\" \\\n"
                    "      --board heron.toml");
    options.app.add_option("CLIP", clip, "what the tester sent")->required()->type_name("");
    options.app.add_option("--text", intake.text, "what the tester wrote")->type_name("TEXT");
    options.app.add_option("--unit", serial, "the tester's unit")->type_name("SERIAL");
    options.app.add_option("--board", board, "the board sheet, where the unit is not known")->type_name("SHEET");
    options.app.add_option("--keep", keep, "keep the clip, yes (usual) or no: findings only")->type_name("yes|no");
    declare_logbook(options, logbook_file);
    if (const auto status = options.parse(arguments)) return *status;
    if (keep != "yes" && keep != "no") return options.wrong_usage("--keep", "it is neither yes nor no", "");
    if (!serial.empty() && !board.empty())
        return options.wrong_usage("--board", "the unit has its board sheet already", "Give one of the two");
    auto logbook = open_logbook(logbook_file, logbook::Logbook::Mode::create);
    if (!logbook) return exit_failed;
    std::optional<session::ReadSheet> sheet;
    std::string unit_serial;
    if (!serial.empty()) {
        const auto unit = or_tell(logbook::find_unit(*logbook, serial));
        if (!unit) return exit_failed;
        intake.unit_id = unit->id;
        sheet = kept_board(*logbook, unit->sheet);
    } else if (!board.empty()) {
        sheet = read_board(board);
    }
    if (!sheet && (!serial.empty() || !board.empty())) return exit_failed;
    intake.board = sheet ? &*sheet : nullptr;
    intake.keep_clip = keep == "yes";
    bool storing_failed = false;
    const auto stored = or_tell(take_in(*logbook, clip, intake, storing_failed));
    if (!stored) return exit_failed;
    const auto complaint = or_tell(logbook::find_complaint(*logbook, stored->id));
    return complaint && print(complaint_text(*complaint)) ? exit_done : exit_failed;
}

Listing complaint_listing(const std::vector<logbook::Complaint>& complaints) {
    Listing listing{"tattletone complaints 1",
                    "complaints",
                    {{"id", ""},
                     {"short_id", "Id"},
                     {"added_at", ""},
                     {"when", "When (UTC)"},
                     {"kind", "Kind"},
                     {"rate", "Rate"},
                     {"unit", "Unit"},
                     {"board", ""},
                     {"usable_low_hz", "", true},
                     {"usable_high_hz", "", true},
                     {"answer", ""},
                     {"reply", ""},
                     {"path", ""},
                     {"clip_sha256", ""},
                     {"outcome", ""},
                     {"closed_at", ""},
                     {"text", "Text"}},
                    {},
                    "No complaint is open."};
    for (const logbook::Complaint& c : complaints)
        listing.rows.push_back({c.id, c.id.substr(0, 8), c.added_at, report::minute_of(c.added_at), c.kind, c.rate,
                                c.serial, c.board, base::fixed(c.usable_low_hz, 1), base::fixed(c.usable_high_hz, 1),
                                c.answer, c.reply, c.path, c.clip, c.outcome, c.closed_at, c.text});
    return listing;
}

int list_open_complaints(const Arguments& arguments) {
    bool closed = false;
    OutputOptions chosen;
    std::string logbook_file;
    Options options("complaint list", "The open complaints, the newest first.", "  tattletone complaint list");
    options.flag("--closed", closed, "the closed ones too");
    declare_output(options, chosen);
    auto [logbook, status] = parse_and_open(options, arguments, logbook_file, logbook::Logbook::Mode::existing);
    if (!logbook) return status;
    return show_all(logbook::list_complaints(*logbook, closed), complaint_listing, chosen);
}

// What show, close and remove have in common: one complaint by its id.
int on_one(const Arguments& arguments, const std::string& action) {
    std::string id, outcome, logbook_file;
    bool yes = false;
    OutputOptions chosen;
    const std::string summary = action == "show" ? "One complaint with the draft of the reply."
                                : action == "close"
                                    ? "Closes a complaint; it keeps its outcome."
                                    : "Deletes a complaint, and its clip unless another record needs that.";
    Options options("complaint " + action, summary,
                    "  tattletone complaint " + action + " 3fa2" +
                        (action == "close" ? " --outcome \"lamp at 2 kHz in firmware 1.3\"" : ""));
    options.app.add_option("ID", id, "four digits of its id or more")->required()->type_name("");
    if (action == "close")
        options.app.add_option("--outcome", outcome, "what came of it")->required()->type_name("TEXT");
    if (action == "remove") options.flag("--yes", yes, "do not ask");
    if (action == "show") declare_output(options, chosen);
    auto [logbook, status] = parse_and_open(options, arguments, logbook_file, logbook::Logbook::Mode::existing);
    if (!logbook) return status;
    const auto complaint = or_tell(logbook::find_complaint(*logbook, id));
    if (!complaint) return exit_failed;
    if (action == "show") {
        if (chosen.json || chosen.csv) return show(complaint_listing({*complaint}), chosen);
        return print(complaint_text(*complaint)) ? exit_done : exit_failed;
    }
    const std::string name = "complaint " + complaint->id.substr(0, 8);
    if (action == "remove" && !confirmed_by_user("Delete " + name + " and its clip for good?", yes)) return exit_failed;
    const auto error = action == "close" ? logbook::close_complaint(*logbook, complaint->id, outcome)
                                         : logbook::remove_complaint(*logbook, complaint->id);
    if (error) {
        tell(*error);
        return exit_failed;
    }
    return print_line(name + (action == "close" ? " is closed." : " is deleted.")) ? exit_done : exit_failed;
}

}  // namespace

int run_complaint(const Arguments& arguments) {
    static constexpr Verb actions[] = {
        {"add", "a tester's clip: examined, sorted, with the draft of a reply", add_complaint},
        {"list", "the open complaints", list_open_complaints},
        {"show", "one complaint with the draft of the reply", [](const Arguments& a) { return on_one(a, "show"); }},
        {"close", "close it; it keeps its outcome", [](const Arguments& a) { return on_one(a, "close"); }},
        {"remove", "delete it with its clip", [](const Arguments& a) { return on_one(a, "remove"); }},
        {"triage", "take in a whole folder; may be stopped and shared", triage},
    };
    return run_action("complaint",
                      "Complaints are clips and words from testers. Clips hold people's voices: '--keep no' "
                      "stores findings only, and deleting a complaint deletes its clip.",
                      actions, arguments);
}

}  // namespace tattletone::command
