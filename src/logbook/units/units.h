#pragma once

#include <optional>
#include <string>
#include <vector>

#include "logbook/logbook.h"

namespace tattletone::logbook {

/// A board sheet as it was: its text, known by its hash.
struct KeptSheet {
    std::string hash, name, revision, text;
};

/// A serial-numbered board.
struct Unit {
    std::string id, serial;
    std::string sheet, board, revision;  ///< hash of the sheet, and what it calls the board
    std::string batch, firmware, note;
    std::string added_at, retired_at;  ///< UTC; `retired_at` is empty while in use
    // Of its newest measurement; empty and 0 without one.
    long long measurements = 0;
    std::string measured_at, verdict, answer;
};

struct UnitFilter {
    std::string batch, board, firmware;  ///< empty: any
    bool retired_too = false;
};

/// Errors: the serial is taken, empty or too long.
Result<Unit> add_unit(Logbook& logbook, const Unit& unit, const KeptSheet& sheet);

/// In the order of the serials, numbers by their value.
Result<std::vector<Unit>> list_units(Logbook& logbook, const UnitFilter& filter);

/// By serial, or by the beginning of its id (four digits or more) where two benches used one serial.
/// Errors: nobody has it, several have it.
Result<Unit> find_unit(Logbook& logbook, const std::string& serial_or_id);

std::optional<Error> rename_unit(Logbook& logbook, const std::string& id, const std::string& serial);
/// Out of use: hidden from lists and batches, with everything it has. `retired` false takes it back.
std::optional<Error> retire_unit(Logbook& logbook, const std::string& id, bool retired);

/// Within the caller's transaction; the same text is kept once.
void record_sheet(Database& database, const KeptSheet& sheet);
Result<KeptSheet> find_sheet(Logbook& logbook, const std::string& hash);

}  // namespace tattletone::logbook
