#include "command/console.h"

#include <cerrno>
#include <cstdio>
#include <cstdlib>
#include <cstring>

#if defined(_WIN32)
#include <io.h>
#include <windows.h>
#else
#include <sys/ioctl.h>
#include <unistd.h>
#include <csignal>
#endif

namespace tattletone {

void tell(const Error& error) {
    const std::string line = "tattletone: " + to_sentence(error) + '\n';
    std::fwrite(line.data(), 1, line.size(), stderr);
    std::fflush(stderr);
}

void tell_note(std::string_view text) {
    std::fwrite(text.data(), 1, text.size(), stderr);
    std::fputc('\n', stderr);
    std::fflush(stderr);
}

bool print(std::string_view text) {
    errno = 0;
    const bool written = std::fwrite(text.data(), 1, text.size(), stdout) == text.size();
    if (written && std::fflush(stdout) == 0) return true;
    if (errno != EPIPE) {
        const bool full = errno == ENOSPC;
        tell({"standard output", full ? "the disk is full" : "it cannot be written",
              full ? "Make room and run the same command again"
                   : "Check where the output goes and run the same command again"});
    }
    return false;
}

Terminal terminal_of(Stream stream) {
    Terminal terminal;
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

}  // namespace tattletone
