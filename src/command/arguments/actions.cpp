#include "command/arguments/actions.h"

#include <string>
#include <vector>

#include "board/sheet/nearest.h"
#include "command/terminal/console.h"
#include "report/text/wrap.h"

namespace tattletone::command {

int run_action(std::string_view verb, std::string_view summary, std::span<const Verb> actions,
               const Arguments& arguments) {
    const std::string name(verb);
    if (arguments.empty() || arguments[0] == "--help" || arguments[0] == "help") {
        std::string text = report::wrapped(summary, 80) + "Usage: tattletone " + name + " ACTION …\n\nActions:\n";
        for (const Verb& action : actions) {
            std::string left = "  " + std::string(action.name);
            left.resize(12, ' ');
            text += report::wrapped(action.summary, 80, left, std::string(12, ' '));
        }
        text += "\nExample:\n  tattletone " + name + " " + std::string(actions[0].name) + " --help\n";
        if (!arguments.empty()) return print(text) ? exit_done : exit_failed;
        tell({name, "an action is missing", "'tattletone " + name + " --help' lists them"});
        return exit_usage;
    }
    std::vector<std::string> names;
    std::string list;
    for (const Verb& action : actions) {
        if (action.name == arguments[0]) return action.run(Arguments(arguments.begin() + 1, arguments.end()));
        names.emplace_back(action.name);
        list += (list.empty() ? "" : ", ") + names.back();
    }
    const std::string nearest = board::nearest_word(arguments[0], names);
    tell({name, "there is no action '" + arguments[0] + "'",
          nearest.empty() ? "The actions are " + list
                          : "Did you mean '" + nearest + "'? 'tattletone " + name + " --help' lists all"});
    return exit_usage;
}

}  // namespace tattletone::command
