#include "command/progress.h"

#include <algorithm>
#include <cstdio>

#include "command/console.h"
#include "report/number.h"
#include "report/utf8.h"

namespace tattletone {

using namespace std::chrono_literals;

Progress::Progress() : wanted_(terminal_of(Stream::error).present), next_(Clock::now() + 500ms) {}

Progress::~Progress() {
    if (!shown_) return;
    std::fputs("\r\033[K", stderr);
    std::fflush(stderr);
}

void Progress::show(const std::string& what, double seconds, std::optional<double> of_seconds) {
    if (!wanted_ || Clock::now() < next_) return;
    next_ = Clock::now() + 100ms;
    shown_ = true;
    std::string line = printable(what.size() > 50 ? what.substr(what.size() - 50) : what) + ": " +
                       fixed(seconds, 0) + " s";
    if (of_seconds && *of_seconds > 0.0)
        line += " of " + fixed(*of_seconds, 0) + ", " +
                fixed(std::min(100.0, 100.0 * seconds / *of_seconds), 0) + " %";
    std::fputs(("\r\033[K" + line).c_str(), stderr);
    std::fflush(stderr);
}

}  // namespace tattletone
