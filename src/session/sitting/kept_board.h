#pragma once

#include <optional>
#include <string>
#include <vector>

#include "board/sheet/sheet.h"
#include "logbook/units/units.h"

namespace tattletone::session {

/// A board sheet with the text of which it was read.
struct ReadSheet {
    board::BoardSheet sheet;
    logbook::KeptSheet kept;
};

/// Either a sheet and no errors, or no sheet and every error.
struct BoardReading {
    std::optional<ReadSheet> read;
    std::vector<Error> errors;
};

BoardReading read_board_file(const std::string& path);

/// The sheet as a unit or complaint has it in the logbook, by its hash.
BoardReading read_kept_board(logbook::Logbook& logbook, const std::string& hash);

}  // namespace tattletone::session
