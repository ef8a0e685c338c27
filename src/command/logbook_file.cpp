#include "command/logbook_file.h"

#include <filesystem>
#include <fstream>
#include <iostream>
#include <iterator>

#include "board/sheet_reader.h"
#include "command/console.h"
#include "command/folders.h"
#include "logbook/sha256.h"

namespace tattletone {

void declare_logbook(Options& options, std::string& given) {
    options.app.add_option("--logbook", given, "the logbook, instead of the usual one")
        ->type_name("FILE");
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
    SheetReading reading = read_sheet(path);
    if (reading.sheet) {
        std::ifstream file(std::filesystem::path(std::u8string(path.begin(), path.end())),
                           std::ios::binary);
        const std::string text((std::istreambuf_iterator<char>(file)), {});
        // Judge the text that is kept, should the file have changed in between.
        reading = parse_sheet(text, path);
        if (reading.sheet)
            return ReadSheet{*reading.sheet,
                             {sha256_of(text), reading.sheet->name, reading.sheet->revision, text}};
    }
    for (const SheetError& error : reading.errors) tell(to_error(error));
    return std::nullopt;
}

std::optional<ReadSheet> kept_board(Logbook& logbook, const std::string& hash) {
    auto kept = or_tell(find_sheet(logbook, hash));
    if (!kept) return std::nullopt;
    SheetReading reading = parse_sheet(kept->text, "board sheet of " + kept->name + " in the logbook");
    for (const SheetError& error : reading.errors) tell(to_error(error));
    if (!reading.sheet) return std::nullopt;
    return ReadSheet{std::move(*reading.sheet), std::move(*kept)};
}

bool confirmed_by_user(const std::string& question, bool yes) {
    if (yes) return true;
    if (!terminal_of(Stream::error).present || !keyboard_present()) {
        tell({"confirmation", "this deletes data and nobody is there to ask",
              "Give --yes if that is what you want"});
        return false;
    }
    std::cerr << question << " [y/N] " << std::flush;
    std::string answer;
    std::getline(std::cin, answer);
    if (answer == "y" || answer == "Y" || answer == "yes") return true;
    tell_note("Nothing was changed.");
    return false;
}

}  // namespace tattletone
