#include "command/arguments/actions.h"
#include "command/arguments/logbook_file.h"
#include "command/terminal/console.h"
#include "report/html/logbook_pages.h"

namespace tattletone::command {
namespace {

struct ReportOptions {
    base::OutputFile page;
    std::string logbook;
    bool json = false, csv = false;
};

void declare(Options& options, ReportOptions& chosen, base::OutputKind kind) {
    options.output_file("-o,--output", chosen.page, kind, "the page, one file that needs nothing else")
        ->type_name("FILE.html");
    options.flag("--json", chosen.json, "what the page shows, as one line of JSON on standard output");
    options.flag("--csv", chosen.csv, "its table as CSV on standard output");
    declare_logbook(options, chosen.logbook);
}

// The page as wished, and behind it the machine's forms, by the verb that has them.
template <class Page>
int write(const Options& options, const ReportOptions& chosen, Page&& page, int (*verb)(const Arguments&),
          Arguments arguments) {
    if (chosen.page.path.empty() && !chosen.json && !chosen.csv)
        return options.wrong_usage("-o", "it is not said where the page goes", "Give -o FILE.html, --json or --csv");
    if (chosen.json && chosen.csv)
        return options.wrong_usage("--csv", "--json and --csv exclude each other", "Give one of them");
    if (!chosen.page.path.empty()) {
        auto logbook = open_logbook(chosen.logbook, logbook::Logbook::Mode::existing);
        if (!logbook) return exit_failed;
        const auto html = or_tell(page(*logbook));
        if (!html) return exit_failed;
        if (const auto error = base::write_output(chosen.page, *html)) {
            tell(*error);
            return exit_failed;
        }
    }
    if (!chosen.json && !chosen.csv) return exit_done;
    arguments.push_back(chosen.json ? "--json" : "--csv");
    if (!chosen.logbook.empty()) {
        arguments.push_back("--logbook");
        arguments.push_back(chosen.logbook);
    }
    return verb(arguments);
}

/// What one of the logbook's things needs for its page.
struct OneThing {
    const char *action, *summary, *example, *name, *help;
    Result<std::string> (*page)(logbook::Logbook&, const std::string&);
    int (*verb)(const Arguments&);
    base::OutputKind kind;
};

int of_one(const Arguments& arguments, const OneThing& thing) {
    std::string which;
    ReportOptions chosen;
    Options options(thing.action, thing.summary, thing.example);
    options.app.add_option(thing.name, which, thing.help)->required()->type_name("");
    declare(options, chosen, thing.kind);
    if (const auto status = options.parse(arguments)) return *status;
    return write(options, chosen, [&](logbook::Logbook& logbook) { return thing.page(logbook, which); }, thing.verb,
                 {"show", which});
}

int of_unit(const Arguments& arguments) {
    return of_one(arguments, {"report unit", "A page about one unit, fit to be posted.",
                              "  tattletone report unit 7 -o unit7.html", "SERIAL", "the unit", report::unit_page,
                              run_unit, base::OutputKind::unit_page});
}

int of_batch(const Arguments& arguments) {
    return of_one(arguments, {"report batch", "A page about a batch: which tones recur, in how many units.",
                              "  tattletone report batch B1 -o b1.html", "BATCH", "the batch", report::batch_page,
                              run_batch, base::OutputKind::batch_page});
}

int of_complaint(const Arguments& arguments) {
    return of_one(arguments,
                  {"report complaint", "A page about one complaint, with the reply.",
                   "  tattletone report complaint 3fa2 -o complaint.html", "ID", "four digits of its id or more",
                   report::complaint_page, run_complaint, base::OutputKind::complaint_page});
}

int of_comparison(const Arguments& arguments) {
    std::string a, b, rate, tone;
    ReportOptions chosen;
    Options options("report compare", "A page about two sides, as 'compare' takes them.",
                    "  tattletone report compare before after -o fix.html");
    options.app.add_option("A", a, "one side")->required()->type_name("");
    options.app.add_option("B", b, "the other")->required()->type_name("");
    options.app.add_option("--rate", rate, "which rate")->type_name("RATE");
    options.app.add_option("--tone", tone, "a tone of no rate, within 0.5 %")->type_name("HZ");
    declare(options, chosen, base::OutputKind::comparison_page);
    if (const auto status = options.parse(arguments)) return *status;
    double hz = 0.0;
    Arguments same{a, b};
    if (!rate.empty()) same.insert(same.end(), {"--rate", rate});
    if (!tone.empty()) {
        const auto number = options.number("--tone", tone, 1.0, 1e6);
        if (!number) return exit_usage;
        hz = *number;
        same.insert(same.end(), {"--tone", tone});
    }
    return write(
        options, chosen, [&](logbook::Logbook& logbook) { return report::comparison_page(logbook, a, b, rate, hz); },
        run_compare, same);
}

}  // namespace

int run_report(const Arguments& arguments) {
    static constexpr Verb actions[] = {
        {"unit", "a unit: the newest answer, the history of its tone", of_unit},
        {"batch", "a batch: which tones recur", of_batch},
        {"complaint", "a complaint with the reply", of_complaint},
        {"compare", "two sides against each other", of_comparison},
    };
    return run_action("report", "Pages of the logbook, one self-contained HTML file each, and the same as JSON or CSV.",
                      actions, arguments);
}

}  // namespace tattletone::command
