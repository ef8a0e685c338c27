#include "command/program.h"

#include <exception>
#include <new>

#include "board/sheet/nearest.h"
#include "command/terminal/console.h"

namespace tattletone::command {
namespace {

std::string help_text() {
    std::string text =
        "tattletone: which part of a small board is singing, from a recording of it and\n"
        "the rates that you declared for its parts.\n\n"
        "Usage: tattletone VERB …; alone it opens the window.\n\nVerbs:\n";
    for (const Verb& verb : verbs()) {
        std::string line = "  " + std::string(verb.name);
        line.resize(12, ' ');
        text += line + std::string(verb.summary) + '\n';
    }
    text +=
        "\n'tattletone VERB --help' explains a verb, with an example.\n"
        "'tattletone --version' tells the version.\n\n"
        "Exit status: 0 done, whatever was found; 1 it could not be done; 2 wrong usage;\n"
        "3 with --fail-if-heard, when a prominent tone of the board was found.\n";
    return text;
}

int unknown_verb(const std::string& typed) {
    std::vector<std::string> names;
    for (const Verb& verb : verbs()) names.emplace_back(verb.name);
    const std::string nearest = board::nearest_word(typed, names);
    std::string list;
    for (const std::string& name : names) list += (list.empty() ? "" : ", ") + name;
    tell({"'" + typed + "'", "there is no such verb",
          nearest.empty() ? "The verbs are " + list + "; 'tattletone --help' explains them"
                          : "Did you mean '" + nearest + "'? 'tattletone --help' lists all"});
    return exit_usage;
}

int run_guarded(const Verb& verb, const Arguments& arguments) {
    try {
        return verb.run(arguments);
    } catch (const std::bad_alloc&) {
        tell(
            {std::string(verb.name), "there is not enough memory", "Close other programs or give a shorter recording"});
    } catch (const std::exception&) {
        tell({std::string(verb.name), "something went wrong inside the program",
              "Please report this with the command line and the files that you gave"});
    }
    return exit_failed;
}

}  // namespace

int run_program(const Arguments& arguments) {
    prepare_console();
    if (arguments.empty()) return run_program({"window"});
    if (arguments[0] == "--help" || arguments[0] == "-h" || arguments[0] == "help")
        return print(help_text()) ? exit_done : exit_failed;
    if (arguments[0] == "--version") return print("tattletone " TATTLETONE_VERSION "\n") ? exit_done : exit_failed;
    for (const Verb& verb : verbs())
        if (verb.name == arguments[0]) return run_guarded(verb, Arguments(arguments.begin() + 1, arguments.end()));
    return unknown_verb(arguments[0]);
}

}  // namespace tattletone::command
