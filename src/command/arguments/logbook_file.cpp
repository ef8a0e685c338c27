#include "command/arguments/logbook_file.h"

#include <filesystem>
#include <iostream>

#include "base/files/paths.h"
#include "command/arguments/folders.h"
#include "command/terminal/console.h"

namespace tattletone::command {
namespace {

std::optional<session::ReadSheet> sheet_or_tell(session::BoardReading reading) {
    for (const Error& error : reading.errors) tell(error);
    return std::move(reading.read);
}

}  // namespace

void declare_logbook(Options& options, std::string& given) {
    options.app.add_option("--logbook", given, "the logbook, instead of the usual one")->type_name("FILE");
    // Read even where it is not given; `given` has its value when this is asked for.
    options.also_reads([&given] { return logbook_path(given); });
}

std::string logbook_path(const std::string& given) {
    if (!given.empty()) return given;
    if (const std::string path = environment("TATTLETONE_LOGBOOK"); !path.empty()) return path;
    const std::string folder = user_data_folder();
    return folder.empty() ? "" : folder + "/logbook";
}

std::optional<logbook::Logbook> open_logbook(const std::string& given, logbook::Logbook::Mode mode) {
    const std::string path = logbook_path(given);
    if (path.empty()) {
        tell({"logbook", "this system does not say where your data belong",
              "Give the logbook's path with --logbook FILE"});
        return std::nullopt;
    }
    if (mode == logbook::Logbook::Mode::create && given.empty() && path == user_data_folder() + "/logbook") {
        const std::string folder = user_data_folder();
        std::error_code problem;
        std::filesystem::create_directories(base::path_of(folder), problem);
    }
    return or_tell(logbook::Logbook::open(path, mode));
}

OpenedLogbook parse_and_open(Options& options, const Arguments& arguments, std::string& given,
                             logbook::Logbook::Mode mode) {
    declare_logbook(options, given);
    if (const auto status = options.parse(arguments)) return {std::nullopt, *status};
    return {open_logbook(given, mode)};
}

std::optional<session::ReadSheet> read_board(const std::string& path) {
    return sheet_or_tell(session::read_board_file(path));
}

std::optional<session::ReadSheet> kept_board(logbook::Logbook& logbook, const std::string& hash) {
    return sheet_or_tell(session::read_kept_board(logbook, hash));
}

bool confirmed_by_user(const std::string& question, bool yes) {
    if (yes) return true;
    if (!terminal_of(Stream::error).present || !keyboard_present()) {
        tell({"confirmation", "this deletes data and nobody is there to ask", "Give --yes if that is what you want"});
        return false;
    }
    ask(question + " [y/N]");
    std::string answer;
    std::getline(std::cin, answer);
    if (answer == "y" || answer == "Y" || answer == "yes") return true;
    tell_note("Nothing was changed.");
    return false;
}

}  // namespace tattletone::command
