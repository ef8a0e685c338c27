#include "session/kept_board.h"

#include <filesystem>
#include <fstream>
#include <iterator>

#include "board/sheet_reader.h"
#include "logbook/sha256.h"

namespace tattletone {
namespace {

std::vector<Error> errors_of(const SheetReading& reading) {
    std::vector<Error> errors;
    for (const SheetError& error : reading.errors) errors.push_back(to_error(error));
    return errors;
}

}  // namespace

BoardReading read_board_file(const std::string& path) {
    SheetReading reading = read_sheet(path);
    if (!reading.sheet) return {std::nullopt, errors_of(reading)};
    std::ifstream file(std::filesystem::path(std::u8string(path.begin(), path.end())),
                       std::ios::binary);
    const std::string text((std::istreambuf_iterator<char>(file)), {});
    // Judge the text that is kept, should the file have changed in between.
    reading = parse_sheet(text, path);
    if (!reading.sheet) return {std::nullopt, errors_of(reading)};
    KeptSheet kept{sha256_of(text), reading.sheet->name, reading.sheet->revision, text};
    return {ReadSheet{std::move(*reading.sheet), std::move(kept)}, {}};
}

BoardReading read_kept_board(Logbook& logbook, const std::string& hash) {
    auto kept = find_sheet(logbook, hash);
    if (!kept) return {std::nullopt, {kept.error()}};
    SheetReading reading =
        parse_sheet(kept->text, "board sheet of " + kept->name + " in the logbook");
    if (!reading.sheet) return {std::nullopt, errors_of(reading)};
    return {ReadSheet{std::move(*reading.sheet), std::move(*kept)}, {}};
}

}  // namespace tattletone
