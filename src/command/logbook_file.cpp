#include "command/logbook_file.h"

#include <filesystem>
#include <iostream>

#include "command/console.h"
#include "command/folders.h"

namespace tattletone {
namespace {

std::optional<ReadSheet> or_tell(BoardReading reading) {
    for (const Error& error : reading.errors) tell(error);
    return std::move(reading.read);
}

}  // namespace


void declare_logbook(Options& options, std::string& given) {
    options.app.add_option("--logbook", given, "the logbook, instead of the usual one")
        ->type_name("FILE");
    // Read even where it is not given; `given` has its value when this is asked for.
    options.also_reads([&given] { return logbook_path(given); });
}

std::string logbook_path(const std::string& given) {
    if (!given.empty()) return given;
    if (const std::string path = environment("TATTLETONE_LOGBOOK"); !path.empty()) return path;
    const std::string folder = user_data_folder();
    return folder.empty() ? "" : folder + "/logbook";
}

std::optional<Logbook> open_logbook(const std::string& given, Logbook::Mode mode) {
    const std::string path = logbook_path(given);
    if (path.empty()) {
        tell({"logbook", "this system does not say where your data belong",
              "Give the logbook's path with --logbook FILE"});
        return std::nullopt;
    }
    if (mode == Logbook::Mode::create && given.empty() && path == user_data_folder() + "/logbook") {
        const std::string folder = user_data_folder();
        std::error_code problem;
        std::filesystem::create_directories(
            std::filesystem::path(std::u8string(folder.begin(), folder.end())), problem);
    }
    return or_tell(Logbook::open(path, mode));
}

std::optional<ReadSheet> read_board(const std::string& path) {
    return or_tell(read_board_file(path));
}

std::optional<ReadSheet> kept_board(Logbook& logbook, const std::string& hash) {
    return or_tell(read_kept_board(logbook, hash));
}

bool confirmed_by_user(const std::string& question, bool yes) {
    if (yes) return true;
    if (!terminal_of(Stream::error).present || !keyboard_present()) {
        tell({"confirmation", "this deletes data and nobody is there to ask",
              "Give --yes if that is what you want"});
        return false;
    }
    ask(question + " [y/N]");
    std::string answer;
    std::getline(std::cin, answer);
    if (answer == "y" || answer == "Y" || answer == "yes") return true;
    tell_note("Nothing was changed.");
    return false;
}

}  // namespace tattletone
