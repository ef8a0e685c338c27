#include "command/terminal/console.h"

#include <cerrno>
#include <cstdio>
#include <cstdlib>
#include <cstring>

#include "base/text/printable.h"

#if defined(_WIN32)
#include <io.h>
#include <windows.h>
#else
#include <sys/ioctl.h>
#include <unistd.h>
#include <csignal>
#endif

namespace tattletone::command {
namespace {

// Everything that the program says passes one of these two, and nothing else writes to them (tests/house).
void write_to_error(std::string_view safe) {
    std::fwrite(safe.data(), 1, safe.size(), stderr);
    std::fflush(stderr);
}

bool write_to_output(std::string_view safe) {
    errno = 0;
    const bool written = std::fwrite(safe.data(), 1, safe.size(), stdout) == safe.size();
    if (written && std::fflush(stdout) == 0) return true;
    if (errno != EPIPE) {
        const bool full = errno == ENOSPC;
        tell({"standard output", full ? "the disk is full" : "it cannot be written",
              full ? "Make room and run the same command again"
                   : "Check where the output goes and run the same command again"});
    }
    return false;
}

}  // namespace

void tell(const Error& error) {
    write_to_error(base::printable("tattletone: " + base::to_sentence(error)) + '\n');
}

void tell_note(std::string_view text) {
    write_to_error(base::printable(text) + '\n');
}

void ask(std::string_view question) {
    write_to_error(base::printable(question) + ' ');
}

void tell_progress(std::string_view line) {
    write_to_error("\r\033[K" + base::printable(line));
}

bool print(std::string_view text) {
    return write_to_output(base::printable_layout(text, terminal_of(Stream::out).bold));
}

bool print_line(std::string_view sentence) {
    return print(base::printable(sentence) + '\n');
}

bool redraw(std::string_view block, int rows_before) {
    const std::string up = rows_before > 0 ? "\033[" + std::to_string(rows_before) + "A" : "";
    return write_to_output(up + "\r\033[J" + base::printable_layout(block, terminal_of(Stream::out).bold));
}

Terminal terminal_of(Stream stream) {
    Terminal terminal;
    if (const char* said = std::getenv("COLUMNS")) {
        const int columns = std::atoi(said);
        if (columns >= 20 && columns <= 1000) terminal.columns = columns;
    }
#if defined(_WIN32)
    terminal.present = _isatty(_fileno(stream == Stream::out ? stdout : stderr)) != 0;
    CONSOLE_SCREEN_BUFFER_INFO info;
    const auto handle = GetStdHandle(stream == Stream::out ? STD_OUTPUT_HANDLE : STD_ERROR_HANDLE);
    if (terminal.present && GetConsoleScreenBufferInfo(handle, &info)) {
        terminal.columns = info.srWindow.Right - info.srWindow.Left + 1;
        terminal.rows = info.srWindow.Bottom - info.srWindow.Top + 1;
    }
#else
    const int file = stream == Stream::out ? STDOUT_FILENO : STDERR_FILENO;
    terminal.present = isatty(file) != 0;
    winsize size{};
    if (terminal.present && ioctl(file, TIOCGWINSZ, &size) == 0) {
        if (size.ws_col > 0) terminal.columns = size.ws_col;
        if (size.ws_row > 0) terminal.rows = size.ws_row;
    }
#endif
    const char* kind = std::getenv("TERM");
    const char* no_colour = std::getenv("NO_COLOR");
    terminal.bold = terminal.present && kind != nullptr && std::strcmp(kind, "dumb") != 0 &&
                    (no_colour == nullptr || *no_colour == '\0');
    return terminal;
}

bool keyboard_present() {
#if defined(_WIN32)
    return _isatty(_fileno(stdin)) != 0;
#else
    return isatty(STDIN_FILENO) != 0;
#endif
}

void prepare_console() {
#if defined(_WIN32)
    SetConsoleOutputCP(CP_UTF8);
#else
    std::signal(SIGPIPE, SIG_IGN);
#endif
}

}  // namespace tattletone::command
