#pragma once

#include <string>
#include <string_view>

#include "base/result.h"

namespace tattletone::command {

/// What a file, its name, a logbook, a sheet, the environment or an argument holds may be part of any text given
/// here: nothing in it steers a terminal (base/text/printable.h). Only this file writes to the standard streams.

/// `tattletone: WHERE: what is wrong. What to do.` on standard error, always one line.
void tell(const Error& error);

/// One line of information on standard error.
void tell_note(std::string_view text);

/// A question on standard error; the answer is typed behind it.
void ask(std::string_view question);

/// A line on standard error, a terminal, in place of the one before. Empty takes it away.
void tell_progress(std::string_view line);

/// Writes and flushes standard output: lines, and bold by the marks of `in_bold` on a terminal that knows it. A line
/// break within a value is the caller's to catch, by `printable` or the functions of report/text/wrap.h. False when
/// that could not be done; a full disk has then been told, and a reader that went away (`| head`) has not, since nobody
/// is left to care.
[[nodiscard]] bool print(std::string_view text);

/// The same for one sentence, which stays one line.
[[nodiscard]] bool print_line(std::string_view sentence);

/// The same on a terminal in place of a block of so many rows.
[[nodiscard]] bool redraw(std::string_view block, int rows_before);

enum class Stream { out, error };

/// The terminal behind a stream. `columns` is that of COLUMNS, else 80, where there is none or it does not say; `bold`
/// only on a terminal that knows it and without NO_COLOR (https://no-color.org) in the environment.
struct Terminal {
    bool present = false;
    int columns = 80;
    int rows = 24;
    bool bold = false;
};
Terminal terminal_of(Stream stream);

/// Somebody can type an answer: standard input is a terminal.
bool keyboard_present();

/// Readies the process: closed pipes become write errors instead of a signal.
void prepare_console();

}  // namespace tattletone::command
