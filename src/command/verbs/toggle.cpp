#include <algorithm>
#include <charconv>
#include <random>

#include "command/arguments/board_file.h"
#include "command/arguments/options.h"
#include "command/terminal/console.h"
#include "report/toggle_report.h"
#include "toggle/plan/plan.h"

namespace tattletone::command {
namespace {

std::vector<std::string> parts_in(const std::string& text) {
    std::vector<std::string> parts(1);
    for (const char c : text)
        if (c == ',')
            parts.emplace_back();
        else if (c != ' ')
            parts.back() += c;
    return parts;
}

std::uint64_t fresh_seed() {
    std::random_device device;
    return device();
}

}  // namespace

int run_toggle(const Arguments& arguments) {
    std::string sheet_path, parts, seconds, step, seed;
    base::OutputFile csv, c_file;
    toggle::PlanWish wish;
    Options options(
        "toggle",
        "A random order in which parts are switched on and off during one recording: what follows it is "
        "caused by it, whatever else the room does. Written as a table and for firmware; 'examine --toggle' "
        "then says which part sings, with an exact probability that chance did it.",
        "  tattletone toggle heron.toml --parts ranger,lamp --csv plan.csv --c plan.h\n"
        "  tattletone toggle heron.toml --parts lamp --by-hand --csv plan.csv\n"
        "  tattletone examine take.flac --board heron.toml --toggle plan.csv");
    options.app.add_option("SHEET", sheet_path, "the board sheet, a .toml file")->required()->type_name("");
    options.app.add_option("--parts", parts, "1 to 8 parts of the sheet, with commas between")
        ->required()
        ->type_name("A,B,…");
    options.app.add_option("--seconds", seconds, "how long the recording will be (default 60; by hand 60 steps)")
        ->type_name("N");
    options.app.add_option("--step", step, "seconds a step (default 0.5, or three times settle_s; by hand 3)")
        ->type_name("S");
    options.app.add_option("--seed", seed, "draws the plan of this number again")->type_name("N");
    options.output_file("--csv", csv, base::OutputKind::toggle_plan, "the plan as a table, for 'examine --toggle'")
        ->type_name("FILE");
    options.output_file("--c", c_file, base::OutputKind::toggle_header, "the plan for firmware, C99 or C++")
        ->type_name("FILE");
    options.flag("--by-hand", wish.by_hand, "steps of 3 s and more, for a person who switches");
    if (const auto status = options.parse(arguments)) return *status;

    wish.parts = parts_in(parts);
    if (!seconds.empty()) {
        const auto value = options.number("--seconds", seconds, 1.0, 36000.0);
        if (!value) return exit_usage;
        wish.seconds = *value;
    }
    if (!step.empty()) {
        const auto value = options.number("--step", step, 0.001, 3600.0);
        if (!value) return exit_usage;
        wish.step_seconds = *value;
    }
    wish.seed = fresh_seed();
    if (!seed.empty()) {
        const auto [end, error] = std::from_chars(seed.data(), seed.data() + seed.size(), wish.seed);
        if (error != std::errc() || end != seed.data() + seed.size())
            return options.wrong_usage("--seed", "'" + seed + "' is no whole number from 0 on",
                                       "Give the number that an earlier plan told");
    }
    const auto sheet = load_board(sheet_path);
    if (!sheet) return exit_failed;
    const auto plan = toggle::draw_plan(*sheet, wish);
    if (!plan) {
        tell(plan.error());
        return exit_failed;
    }
    std::vector<std::string> written;
    const std::string board = sheet->name + (sheet->revision.empty() ? "" : " " + sheet->revision);
    for (const auto& [file, content] :
         {std::pair{&csv, toggle::plan_csv(*plan)}, std::pair{&c_file, toggle::plan_c(*plan, board, wish.seed)}}) {
        if (file->path.empty()) continue;
        if (const auto error = base::write_output(*file, content)) {
            tell(*error);
            return exit_failed;
        }
        written.push_back(file->path);
    }
    return print(report::plan_text(*plan, *sheet, wish, written, std::min(terminal_of(Stream::out).columns, 80)))
               ? exit_done
               : exit_failed;
}

}  // namespace tattletone::command
