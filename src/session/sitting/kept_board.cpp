#include "session/sitting/kept_board.h"

#include <filesystem>
#include <fstream>
#include <iterator>

#include "base/files/paths.h"
#include "board/sheet/sheet_reader.h"
#include "logbook/storage/sha256.h"

namespace tattletone::session {
namespace {

std::vector<Error> errors_of(const board::SheetReading& reading) {
    std::vector<Error> errors;
    for (const board::SheetError& error : reading.errors) errors.push_back(board::to_error(error));
    return errors;
}

}  // namespace

BoardReading read_board_file(const std::string& path) {
    board::SheetReading reading = board::read_sheet(path);
    if (!reading.sheet) return {std::nullopt, errors_of(reading)};
    std::ifstream file(base::path_of(path), std::ios::binary);
    const std::string text((std::istreambuf_iterator<char>(file)), {});
    // Judge the text that is kept, should the file have changed in between.
    reading = board::parse_sheet(text, path);
    if (!reading.sheet) return {std::nullopt, errors_of(reading)};
    logbook::KeptSheet kept{logbook::sha256_of(text), reading.sheet->name, reading.sheet->revision, text};
    return {ReadSheet{std::move(*reading.sheet), std::move(kept)}, {}};
}

BoardReading read_kept_board(logbook::Logbook& logbook, const std::string& hash) {
    auto kept = logbook::find_sheet(logbook, hash);
    if (!kept) return {std::nullopt, {kept.error()}};
    board::SheetReading reading = board::parse_sheet(kept->text, "board sheet of " + kept->name + " in the logbook");
    if (!reading.sheet) return {std::nullopt, errors_of(reading)};
    return {ReadSheet{std::move(*reading.sheet), std::move(*kept)}, {}};
}

}  // namespace tattletone::session
