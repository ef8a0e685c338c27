#include "base/text/json_writer.h"
#include "base/text/number.h"
#include "base/text/printable.h"
#include "command/arguments/actions.h"
#include "command/arguments/logbook_file.h"
#include "command/terminal/console.h"
#include "command/terminal/progress.h"
#include "logbook/storage/check.h"
#include "logbook/storage/copies.h"
#include "logbook/storage/older_copy.h"

namespace tattletone::command {
namespace {

std::string lines_of(const std::string& heading, const std::vector<std::string>& texts) {
    if (texts.empty()) return {};
    std::string lines = heading + '\n';
    for (const std::string& text : texts) lines += "  " + base::printable(text) + '\n';
    return lines;
}

/// Of what a check and a merge both count.
template <class Report>
std::string counts_of(const Report& report) {
    return base::count_of(report.units, "unit", "units") + ", " +
           base::count_of(report.measurements, "measurement", "measurements") + ", " +
           base::count_of(report.complaints, "complaint", "complaints") + ", " +
           base::count_of(report.clips, "recording", "recordings");
}

int check(const Arguments& arguments) {
    bool repair = false, json = false;
    std::string logbook_file;
    Options options("logbook check",
                    "Verifies the file, every board sheet and every recording. Exit status 1 when something "
                    "is wrong.",
                    "  tattletone logbook check --repair");
    options.flag("--repair", repair, "take away recordings that no record needs and half-made files");
    options.flag("--json", json, "as one line of JSON");
    auto [logbook, status] = parse_and_open(options, arguments, logbook_file, logbook::Logbook::Mode::existing);
    if (!logbook) return status;
    std::optional<logbook::CheckReport> report;
    {
        Progress progress;
        report = or_tell(logbook::check_logbook(*logbook, repair, [&](long long done, long long of) {
            progress.show("recordings", static_cast<double>(done), static_cast<double>(of));
        }));
    }
    if (!report) return exit_failed;
    const bool good = report->problems.empty() && (report->unneeded == 0 || report->unneeded_removed) &&
                      (report->half_made.empty() || report->half_made_removed);
    std::string text;
    if (json) {
        base::JsonWriter out;
        out.open('{').key("format").text("tattletone check 1").key("good").boolean(good);
        out.key("units").integer(report->units).key("measurements").integer(report->measurements);
        out.key("complaints").integer(report->complaints).key("clips").integer(report->clips);
        out.key("problems").texts(report->problems).key("conflicts").texts(report->conflicts);
        out.key("unneeded_clips").integer(report->unneeded);
        out.key("unneeded_removed").boolean(report->unneeded_removed);
        out.key("half_made").texts(report->half_made);
        out.key("half_made_removed").boolean(report->half_made_removed);
        text = out.close('}').str() + '\n';
    } else {
        text = std::string(good ? "All is well: " : "Not all is well: ") + counts_of(*report) + ".\n";
        text += lines_of("Problems", report->problems);
        text += lines_of("Conflicts between benches, both sides kept", report->conflicts);
        if (report->unneeded > 0)
            text += base::count_of(report->unneeded, "recording that no record needs ",
                                   "recordings that no record needs ") +
                    (report->unneeded_removed ? "taken away.\n" : "found; --repair takes them away.\n");
        text += lines_of(std::string("Half-made files of programs that were ended") +
                             (report->half_made_removed ? ", taken away" : "; --repair takes them away"),
                         report->half_made);
    }
    if (!print(text)) return exit_failed;
    return good ? exit_done : exit_failed;
}

int backup(const Arguments& arguments) {
    std::string logbook_file;
    base::OutputFile copy;
    Options options("logbook backup",
                    "A copy of the logbook and its recordings as they are at one moment; others may go on "
                    "writing. Recordings that the copy has already are not copied again.",
                    "  tattletone logbook backup /media/stick/heron.logbook");
    options.output_file("FILE", copy, base::OutputKind::logbook_copy, "the copy; FILE.clips gets the recordings")
        ->required()
        ->type_name("");
    declare_logbook(options, logbook_file);
    copy.older_copy = [&](const std::string& path, bool overwrite) -> std::optional<Error> {
        auto own = logbook::Logbook::open(logbook_path(logbook_file), logbook::Logbook::Mode::existing);
        if (!own) return own.error();
        return logbook::judge_older_copy(*own, path, overwrite);
    };
    if (const auto status = options.parse(arguments)) return *status;
    auto logbook = open_logbook(logbook_file, logbook::Logbook::Mode::existing);
    if (!logbook) return exit_failed;
    const auto problems = or_tell(logbook::back_up(*logbook, copy));
    if (!problems) return exit_failed;
    for (const std::string& problem : *problems) tell_note("tattletone: " + problem);
    if (!print_line("The logbook is copied to " + copy.path + ".")) return exit_failed;
    return problems->empty() ? exit_done : exit_failed;
}

int merge_other(const Arguments& arguments) {
    std::string other, logbook_file;
    bool json = false;
    Options options("logbook merge",
                    "Joins the logbook of another bench into this one. Nothing is doubled, and where both say "
                    "different things, both sides are kept and shown. The other file is not changed.",
                    "  tattletone logbook merge /media/stick/other.logbook");
    options.app.add_option("OTHER", other, "the other bench's logbook")->required()->type_name("");
    options.flag("--json", json, "as one line of JSON");
    auto [logbook, status] = parse_and_open(options, arguments, logbook_file, logbook::Logbook::Mode::create);
    if (!logbook) return status;
    const auto report = or_tell(logbook::merge(*logbook, other));
    if (!report) return exit_failed;
    std::string text;
    if (json) {
        base::JsonWriter out;
        out.open('{').key("format").text("tattletone merge 1");
        out.key("units").integer(report->units).key("measurements").integer(report->measurements);
        out.key("opinions").integer(report->opinions).key("complaints").integer(report->complaints);
        out.key("clips").integer(report->clips);
        out.key("removed").texts(report->removed).key("conflicts").texts(report->conflicts);
        out.key("problems").texts(report->problems);
        text = out.close('}').str() + '\n';
    } else {
        text =
            "New here: " + counts_of(*report) + ", " + base::count_of(report->opinions, "opinion", "opinions") + ".\n";
        text += lines_of(base::count_of(std::ssize(report->removed), "complaint", "complaints") +
                             " removed here, as the other bench did",
                         report->removed);
        text += lines_of("Conflicts, both sides kept", report->conflicts);
        text += lines_of("Problems", report->problems);
    }
    return print(text) ? exit_done : exit_failed;
}

}  // namespace

int run_logbook(const Arguments& arguments) {
    static constexpr Verb actions[] = {
        {"check", "verify the file and the recordings; --repair tidies up", check},
        {"backup", "copy the logbook while it is in use", backup},
        {"merge", "join the logbook of another bench", merge_other},
    };
    return run_action("logbook",
                      "The logbook is one file, with its recordings in FILE.clips beside it: what --logbook "
                      "gives, else TATTLETONE_LOGBOOK in the environment, else 'logbook' in your data folder.",
                      actions, arguments);
}

}  // namespace tattletone::command
