#include "command/arguments/board_file.h"
#include "command/arguments/options.h"
#include "command/terminal/console.h"
#include "report/prediction.h"

namespace tattletone::command {

int run_predict(const Arguments& arguments) {
    std::string sheet_path, state_name;
    bool as_json = false;
    report::PredictionStyle style;
    Options options("predict",
                    "The lines to expect in the audible range from a board sheet, by rate and state, "
                    "and the rates that could pass for one another.",
                    "  tattletone predict heron.toml --state ranging");
    options.app.add_option("SHEET", sheet_path, "the board sheet, a .toml file")->required()->type_name("");
    options.app.add_option("--state", state_name, "only what is active in this state")->type_name("NAME");
    options.flag("--all", style.all, "every line, not just the first of each rate");
    options.flag("--json", as_json, "one line of JSON, with every line of every rate");
    if (const auto status = options.parse(arguments)) return *status;

    const auto sheet = load_board(sheet_path);
    if (!sheet) return exit_failed;
    const auto state = find_state(*sheet, state_name);
    if (!state) return exit_failed;
    style.state = *state;
    const Terminal terminal = terminal_of(Stream::out);
    style.columns = std::min(terminal.columns, 80);
    style.bold = terminal.bold;
    const board::LineLimits limits;
    return print(as_json ? report::prediction_json(*sheet, limits, style.state) + '\n'
                         : report::prediction_text(*sheet, limits, style))
               ? exit_done
               : exit_failed;
}

}  // namespace tattletone::command
