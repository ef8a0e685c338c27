#include <algorithm>

#include "command/arguments/board_file.h"
#include "command/arguments/trace_options.h"
#include "command/terminal/console.h"

namespace tattletone::command {

int run_trace(const Arguments& arguments) {
    TraceOptions chosen;
    std::string board;
    base::OutputFile picture, page;
    bool json = false;
    Options options("trace",
                    "What an oscilloscope saw on a rail: how often it dips, how deep and how long, and\n"
                    "which of the declared rates that is. Reads CSV and its kin: a time and one or more\n"
                    "voltages in every row, split by comma, semicolon, tab or spaces, with decimal points\n"
                    "or commas, units in the header, or a start and an increment instead of times. Probe\n"
                    "low-voltage boards only: the ground clip of a probe is the mains' earth.",
                    "  tattletone trace rail.csv --board heron.toml --rail 3V0\n"
                    "  tattletone trace rail.csv --column CH2 --below 2.85 --picture rail.svg\n"
                    "  tattletone trace values.txt --interval 4e-7\n"
                    "  tattletone examine take.flac --board heron.toml \\\n"
                    "      --trace rail.csv --rail 3V0");
    options.app.add_option("FILE", chosen.file, "the trace; - is standard input")->required()->type_name("");
    options.app.add_option("--board", board, "the board sheet")->type_name("SHEET");
    options.app
        .add_option("--rail,--trace-rail", chosen.rail,
                    "the rail that was probed, where the column's name does not say")
        ->type_name("ID");
    options.app.add_option("--column,--trace-column", chosen.column, "this column only")->type_name("NAME");
    options.app
        .add_option("--below", chosen.below, "measure the time below this (default: 5 % under the rail's v_out)")
        ->type_name("V");
    options.app.add_option("--interval", chosen.interval, "seconds from row to row, where the file does not say")
        ->type_name("S");
    options.app.add_option("--clock-ppm", chosen.clock_ppm, "how far off the scope's clock may be (default 50)")
        ->type_name("PPM");
    options.flag("--json", json, "one line of JSON");
    options
        .output_file("--picture", picture, base::OutputKind::trace_picture,
                     "also draw it, the first column that repeats")
        ->type_name("FILE.svg");
    options.output_file("--report", page, base::OutputKind::trace_page, "also write a page with every picture")
        ->type_name("FILE.html");
    if (const auto status = options.parse(arguments)) return *status;
    if (!picture.path.empty() && !picture.path.ends_with(".svg"))
        return options.wrong_usage("--picture", "'" + picture.path + "' does not end in .svg",
                                   "Pictures are drawn as SVG, which every browser shows");

    std::optional<board::BoardSheet> sheet;
    if (!board.empty() && !(sheet = load_board(board))) return exit_failed;
    int status = exit_done;
    auto read = read_trace_of(options, chosen, sheet ? &*sheet : nullptr, status);
    if (!read) return status;
    report::TraceReport& report = read->report;
    for (std::size_t i = 0; i < report.columns.size() && !page.path.empty(); ++i)
        report.pictures.push_back(
            report::trace_svg(read->file.columns[i].values, report.increment_seconds, report.columns[i], false));
    if (!picture.path.empty()) {
        const auto first = std::find_if(report.columns.begin(), report.columns.end(),
                                        [](const auto& c) { return c.shape.repetition.has_value(); });
        const auto at = first == report.columns.end() ? 0 : static_cast<std::size_t>(first - report.columns.begin());
        const std::string svg =
            report::trace_svg(read->file.columns[at].values, report.increment_seconds, report.columns[at], true);
        if (const auto error = base::write_output(picture, svg)) {
            tell(*error);
            return exit_failed;
        }
    }
    if (!page.path.empty()) {
        if (const auto error = base::write_output(page, report::trace_page(report))) {
            tell(*error);
            return exit_failed;
        }
    }
    const Terminal terminal = terminal_of(Stream::out);
    return print(json ? report::trace_json(report) + '\n'
                      : report::trace_text(report, std::min(terminal.columns, 80), terminal.bold))
               ? exit_done
               : exit_failed;
}

}  // namespace tattletone::command
