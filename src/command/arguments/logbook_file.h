#pragma once

#include <optional>
#include <string>
#include <vector>

#include "command/arguments/options.h"
#include "command/terminal/listing.h"
#include "logbook/logbook.h"
#include "logbook/units/units.h"
#include "session/sitting/kept_board.h"

namespace tattletone::command {

/// --logbook FILE of every verb that needs it.
void declare_logbook(Options& options, std::string& given);

/// The logbook's path: what was given, else TATTLETONE_LOGBOOK, else "logbook" in the user's data
/// folder. Empty where none of them is there.
std::string logbook_path(const std::string& given);

/// Opens it; tells what is wrong and gives nothing then. To create it in the user's data folder, that
/// folder is made.
std::optional<logbook::Logbook> open_logbook(const std::string& given, logbook::Logbook::Mode mode);

/// Declares --logbook, the last option, parses the command line and opens the logbook. Without one the program ends
/// with `status`: help was asked for, or what is wrong was told.
struct OpenedLogbook {
    std::optional<logbook::Logbook> logbook;
    int status = exit_failed;
};
OpenedLogbook parse_and_open(Options& options, const Arguments& arguments, std::string& given,
                             logbook::Logbook::Mode mode);

/// A sheet file with its text, or nothing when its errors were told.
std::optional<session::ReadSheet> read_board(const std::string& path);

/// The sheet as a unit or complaint has it in the logbook; tells what is wrong with it.
std::optional<session::ReadSheet> kept_board(logbook::Logbook& logbook, const std::string& hash);

/// Asks on the terminal and reads the answer. Without a terminal nothing is asked: it is told that
/// --yes is needed, and the answer is no.
bool confirmed_by_user(const std::string& question, bool yes);

/// The value, or nothing when the error was told.
template <class Value>
std::optional<Value> or_tell(Result<Value> result);

/// Shows the listing of what was found, or tells why it was not.
template <class Row>
int show_all(Result<std::vector<Row>> rows, Listing listing_of(const std::vector<Row>&), const OutputOptions& chosen) {
    const auto found = or_tell(std::move(rows));
    return found ? show(listing_of(*found), chosen) : exit_failed;
}

}  // namespace tattletone::command

#include "command/terminal/console.h"

template <class Value>
std::optional<Value> tattletone::command::or_tell(tattletone::Result<Value> result) {
    if (result) return std::move(*result);
    tell(result.error());
    return std::nullopt;
}
