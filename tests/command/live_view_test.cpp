#include <catch2/catch.hpp>

#include <sstream>
#include <string>

#include "base/text/printable.h"
#include "command/terminal/live_view.h"
#include "report/sample_findings.h"
#include "report/text/columns.h"
#include "support/names.h"

using namespace tattletone;

namespace {

const std::string hostile =
    "\x1b]0;t\x07\x1b[1mFORGED\x1b[2J\r\nnew\x9b\xC2\x9B\xE2\x80\xAE\xE2\x80\xA8\xFF 日本 long words of a stranger";

Snapshot moment() {
    Snapshot snapshot;
    snapshot.device = "mic " + hostile;
    snapshot.message = "The microphone '" + hostile + "' is gone. Plug it in again, and listening goes on.";
    snapshot.state = DeviceState::running;
    snapshot.seconds_heard = 12.0;
    return snapshot;
}

Findings findings() {
    Findings found = sample::named();
    found.board = hostile;
    for (Suspect& suspect : found.suspects) {
        suspect.rate = hostile;
        suspect.part_name = hostile;
    }
    for (Take& take : found.unit.takes) take.path = hostile;
    return found;
}

// What the console would have to change: nothing, where each value was made printable; it ends bold that was cut off.
void check_clean(const std::string& text) {
    const std::string shown = printable_layout(text, true);
    CHECK((shown == text || shown == text + std::string(end_bold)));
    CHECK(text.find("\033[1mFORGED") == std::string::npos);
}

}  // namespace

TEST_CASE("the live view shows a stranger's words and obeys none of them") {
    for (const int columns : {20, 40, 80}) {
        for (const bool bold : {false, true}) {
            const std::string block = live_block(moment(), findings(), columns, 12, bold);
            INFO(block);
            check_clean(block);
            std::istringstream lines(printable_layout(block, false));
            int rows = 0;
            for (std::string line; std::getline(lines, line); ++rows) CHECK(display_columns(line) <= columns);
            CHECK(rows <= 12);
        }
    }
    const std::string line = live_line(moment(), findings());
    check_clean(line);
    CHECK(line.find('\n') == line.size() - 1);
    const std::string json = live_json(moment(), findings());
    check_clean(json);
    CHECK(json.find('\n') == json.size() - 1);
}
