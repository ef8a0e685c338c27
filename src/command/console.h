#pragma once

#include <string>
#include <string_view>

#include "result.h"

namespace tattletone {

/// `tattletone: WHERE: what is wrong. What to do.` on standard error.
void tell(const Error& error);

/// A line of information on standard error, as it is.
void tell_note(std::string_view text);

/// Writes and flushes standard output. False when that could not be done; a full disk has then been
/// told, and a reader that went away (`| head`) has not, since nobody is left to care.
[[nodiscard]] bool print(std::string_view text);

enum class Stream { out, error };

/// The terminal behind a stream. `columns` is 80 where there is none or it does not say; `bold`
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

}  // namespace tattletone
