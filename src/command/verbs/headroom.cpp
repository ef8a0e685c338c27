#include "report/headroom.h"

#include <algorithm>
#include <iterator>

#include "board/sheet/nearest.h"
#include "board/sheet/rail_keys.h"
#include "command/arguments/board_file.h"
#include "command/arguments/options.h"
#include "command/terminal/console.h"

namespace tattletone::command {
namespace {

using Tries = std::vector<std::pair<std::string, std::string>>;

// -1 where none is meant (empty).
std::optional<int> find_rail(const board::BoardSheet& sheet, const std::string& id) {
    if (id.empty()) return -1;
    std::string list;
    for (int i = 0; i < static_cast<int>(sheet.rails.size()); ++i) {
        const std::string& known = sheet.rails[static_cast<std::size_t>(i)].id;
        if (known == id) return i;
        list += (list.empty() ? "'" : ", '") + known + "'";
    }
    tell({sheet.path, "there is no rail '" + id + "' in this board sheet",
          list.empty() ? "Declare it under [[rail]]" : "Its rails are " + list});
    return std::nullopt;
}

// The only rail, or the only one that is not fine: that is whose regulator one wants to replace.
std::optional<int> rail_to_try(const Options& options, const board::BoardSheet& sheet) {
    std::vector<int> in_need;
    const int count = static_cast<int>(sheet.rails.size());
    for (int i = 0; i < count; ++i)
        if (count == 1 || board::supply_of(sheet, i).worst().verdict > board::Supply::fine) in_need.push_back(i);
    if (in_need.size() == 1) return in_need[0];
    options.wrong_usage("--try", "the sheet has several rails", "Say which with --rail ID");
    return std::nullopt;
}

bool try_on(const Options& options, const Tries& tries, board::Rail& rail) {
    std::vector<std::string> names{"regulator"};
    for (const board::RailKey& key : board::rail_keys()) names.emplace_back(key.name);
    for (const auto& [name, text] : tries) {
        if (name == "regulator") {
            const auto word = std::find(std::begin(board::regulator_words), std::end(board::regulator_words), text);
            if (word == std::end(board::regulator_words)) {
                options.wrong_usage("--try", "'" + text + "' is no kind of regulator",
                                    "The kinds are linear, buck, boost and charge-pump");
                return false;
            }
            rail.regulator = static_cast<board::Regulator>(word - std::begin(board::regulator_words));
            continue;
        }
        const auto keys = board::rail_keys();
        const auto key =
            std::find_if(keys.begin(), keys.end(), [&](const board::RailKey& k) { return name == k.name; });
        if (key == keys.end()) {
            std::string list;
            for (const std::string& known : names) list += (list.empty() ? "" : ", ") + known;
            const std::string nearest = board::nearest_word(name, names);
            options.wrong_usage("--try", "'" + name + "' is no key of a rail that can be tried",
                                nearest.empty() ? "The keys are " + list : "Did you mean '" + nearest + "'?");
            return false;
        }
        const auto value = options.number("--try " + name, text, key->low_included ? key->low : 1e-9, key->high);
        if (!value) return false;
        rail.*key->value = *value;
    }
    return true;
}

}  // namespace

int run_headroom(const Arguments& arguments) {
    std::string sheet_path, rail_id;
    std::vector<std::string> tried;
    bool as_json = false;
    Options options("headroom",
                    "What each rail of a board sheet can really supply (rating, heat in the package at the ambient "
                    "temperature, dropout) against what its parts draw in each state, worked out line by line; and "
                    "whether another regulator or input would do.",
                    "  tattletone headroom heron.toml\n"
                    "  tattletone headroom heron.toml --rail 3V0 --try v_in=3.3\n"
                    "  tattletone headroom heron.toml --try max_dissipation_mw=600 --try ambient_c=50");
    options.app.add_option("SHEET", sheet_path, "the board sheet, a .toml file")->required()->type_name("");
    options.app.add_option("--rail", rail_id, "only this rail")->type_name("ID");
    options.app
        .add_option("--try", tried,
                    "put this value in place of the sheet's; repeatable. Without --rail: on the one rail that is not "
                    "fine")
        ->type_name("KEY=VALUE")
        ->repeatable();
    options.flag("--json", as_json, "one line of JSON");
    if (const auto status = options.parse(arguments)) return *status;

    report::HeadroomStyle style;
    for (const std::string& text : tried) {
        const auto split = split_name_and_file(text);
        if (!split)
            return options.wrong_usage("--try", "'" + text + "' is not KEY=VALUE",
                                       "Write, for instance, --try v_in=3.3");
        style.tried.push_back(*split);
    }
    const auto sheet = load_board(sheet_path);
    if (!sheet) return exit_failed;
    const auto rail = find_rail(*sheet, rail_id);
    if (!rail) return exit_failed;
    style.rail = *rail;
    board::BoardSheet changed = *sheet;
    if (!style.tried.empty()) {
        if (style.rail < 0) {
            if (sheet->rails.empty())
                return options.wrong_usage("--try", "the sheet declares no rail", "Add a [[rail]] to it");
            const auto only = rail_to_try(options, *sheet);
            if (!only) return exit_usage;
            style.rail = *only;
        }
        if (!try_on(options, style.tried, changed.rails[static_cast<std::size_t>(style.rail)])) return exit_usage;
        style.declared = &*sheet;
    }
    const Terminal terminal = terminal_of(Stream::out);
    style.columns = std::min(terminal.columns, 80);
    style.bold = terminal.bold;
    return print(as_json ? report::headroom_json(changed, style) + '\n' : report::headroom_text(changed, style))
               ? exit_done
               : exit_failed;
}

}  // namespace tattletone::command
