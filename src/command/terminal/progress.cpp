#include "command/terminal/progress.h"

#include <algorithm>

#include "base/text/number.h"
#include "command/terminal/console.h"
#include "report/text/columns.h"

namespace tattletone::command {

using namespace std::chrono_literals;

namespace {

// As much of the end of `what` as fits beside the numbers.
std::string end_of(const std::string& what) {
    std::string text = base::printable(what);
    while (report::display_columns(text) > 50)
        text.erase(0, std::max<std::size_t>(base::utf8_character(text, 0).bytes, 1));
    return text;
}

}  // namespace

Progress::Progress() : wanted_(terminal_of(Stream::error).present), next_(Clock::now() + 500ms) {}

Progress::~Progress() {
    if (!shown_) return;
    tell_progress("");
}

void Progress::show(const std::string& what, double seconds, std::optional<double> of_seconds) {
    if (!wanted_ || Clock::now() < next_) return;
    next_ = Clock::now() + 100ms;
    shown_ = true;
    std::string line = end_of(what) + ": " + base::fixed(seconds, 0) + " s";
    if (of_seconds && *of_seconds > 0.0)
        line += " of " + base::fixed(*of_seconds, 0) + ", " +
                base::fixed(std::min(100.0, 100.0 * seconds / *of_seconds), 0) + " %";
    tell_progress(line);
}

}  // namespace tattletone::command
