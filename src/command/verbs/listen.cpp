#include <algorithm>
#include <atomic>
#include <chrono>
#include <csignal>
#include <utility>

#include "command/arguments/board_file.h"
#include "command/arguments/options.h"
#include "command/terminal/console.h"
#include "command/terminal/live_view.h"
#include "match/diagnose.h"
#include "session/live/live_ear.h"
#include "sound/capture/microphone.h"
#include "tones/find_tones.h"

namespace tattletone::command {
namespace {

using namespace std::chrono_literals;
using Clock = std::chrono::steady_clock;

std::atomic<bool> interrupted{false};
static_assert(std::atomic<bool>::is_always_lock_free, "set in a signal handler");

extern "C" void on_interrupt(int signal_number) {
    interrupted.store(true, std::memory_order_relaxed);
    std::signal(signal_number, SIG_DFL);  // a second one ends the program at once
}

struct ListenOptions {
    std::string board, device, seconds_text;
    base::OutputFile keep;
    bool json = false;
    double seconds = 0.0;  // 0: until interrupted
};

match::Findings judge(const session::Snapshot& snapshot, const board::BoardSheet* sheet) {
    tones::Take take;
    take.path = snapshot.device;
    take.found = *snapshot.tones;
    std::vector<tones::Take> takes;
    takes.push_back(std::move(take));
    return match::diagnose(sheet, tones::unite(std::move(takes), nullptr));
}

/// Draws each new snapshot in the way that fits where the output goes.
class Display {
  public:
    explicit Display(bool json) : json_(json), terminal_(terminal_of(Stream::out)) {}

    bool wants_line_for_each() const { return json_ || !terminal_.present; }

    bool show(const session::Snapshot& snapshot, const std::optional<match::Findings>& findings) {
        if (json_) return print(live_json(snapshot, findings));
        if (!terminal_.present) return print(live_line(snapshot, findings));
        terminal_ = terminal_of(Stream::out);
        const std::string block = live_block(snapshot, findings, std::min(terminal_.columns, 100),
                                             std::max(terminal_.rows - 1, 4), terminal_.bold);
        const int before = std::exchange(drawn_rows_, static_cast<int>(std::count(block.begin(), block.end(), '\n')));
        return redraw(block, before);
    }

  private:
    bool json_;
    Terminal terminal_;
    int drawn_rows_ = 0;
};

/// So many seconds of sound; a device that gives none must not make it last for ever.
bool over(const session::Snapshot& snapshot, Clock::time_point begin, double seconds) {
    constexpr double patience_seconds = 4.0;
    if (seconds == 0.0) return false;
    const double since = std::chrono::duration<double>(Clock::now() - begin).count();
    return snapshot.seconds_heard >= seconds || since >= seconds + patience_seconds;
}

/// A line a second and for each change of the device, in JSON for each answer; a drawing for each
/// snapshot.
bool follow(const session::LiveEar& ear, const ListenOptions& wanted, const board::BoardSheet* sheet,
            std::shared_ptr<const session::Snapshot>& last) {
    Display display(wanted.json);
    std::optional<match::Findings> findings;
    std::shared_ptr<const tones::Tones> judged;
    sound::DeviceState state = sound::DeviceState::running;
    auto next_line = Clock::now();
    const auto begin = Clock::now();
    std::uint64_t sequence = 0;
    while (!interrupted.load(std::memory_order_relaxed) && !over(*last, begin, wanted.seconds)) {
        last = ear.wait_for(sequence, 200ms);
        if (last->sequence == sequence) continue;
        sequence = last->sequence;
        const bool answer = last->tones != judged;
        if (answer) {
            judged = last->tones;
            findings.reset();
            if (judged) findings = judge(*last, sheet);
        }
        const bool turned = last->state != state;
        state = last->state;
        if (display.wants_line_for_each()) {
            const bool due = Clock::now() >= next_line || (wanted.json && answer);
            if (!due && !turned) continue;
            next_line = Clock::now() + 1s;
        }
        if (!display.show(*last, findings)) return false;
    }
    return true;
}

}  // namespace

int run_listen(const Arguments& arguments) {
    ListenOptions wanted;
    Options options("listen",
                    "Live in the terminal: the tones of the last ten seconds, twice a second, and "
                    "which of the\n"
                    "declared rates is singing. Ctrl-C ends it.",
                    "  tattletone listen --board heron.toml\n"
                    "  tattletone listen --seconds 30 --keep take.flac --json");
    options.app.add_option("--board", wanted.board, "the board sheet")->type_name("SHEET");
    options.app.add_option("--device", wanted.device, "number or part of the name, as 'devices' lists them")
        ->type_name("D");
    options.app.add_option("--seconds", wanted.seconds_text, "end after so many seconds of sound")->type_name("N");
    options
        .output_file("--keep", wanted.keep, base::OutputKind::recording,
                     "keep what was heard, as flac or wav; after a gap it goes on in FILE-2")
        ->type_name("FILE");
    options.flag("--json", wanted.json, "one JSON object a line: the findings, and how the listening goes");
    if (const auto status = options.parse(arguments)) return *status;
    if (!wanted.seconds_text.empty()) {
        const auto seconds = options.number("--seconds", wanted.seconds_text, 0.5, 1e7);
        if (!seconds) return exit_usage;
        wanted.seconds = *seconds;
    }
    std::optional<board::BoardSheet> sheet;
    if (!wanted.board.empty()) {
        sheet = load_board(wanted.board);
        if (!sheet) return exit_failed;
    }
    auto microphone = sound::Microphone::open(wanted.device);
    if (!microphone) {
        tell(microphone.error());
        return exit_failed;
    }
    session::LiveOptions live;
    live.keep = wanted.keep;
    const auto analysis = [](const sound::Recording& recording) {
        tones::FindOptions find;
        find.threads = 1;
        return tones::find_tones(recording, find);
    };
    auto ear = session::LiveEar::start(std::move(*microphone), analysis, live);
    if (!ear) {
        tell(ear.error());
        return exit_failed;
    }
    std::signal(SIGINT, on_interrupt);
    std::signal(SIGTERM, on_interrupt);

    std::shared_ptr<const session::Snapshot> last = (*ear)->newest();
    const bool shown = follow(**ear, wanted, sheet ? &*sheet : nullptr, last);
    const auto kept = (*ear)->stop();
    const std::string device = last->device;
    const bool heard = (*ear)->newest()->seconds_heard > 0.0;
    ear->reset();
    for (const std::string& path : kept.rescued)
        tell_note("Kept in " + path + ", from a listener to the same file that was ended before its time");
    for (const std::string& path : kept.written) tell_note("Kept in " + path);
    if (kept.error) {
        tell(*kept.error);
        return exit_failed;
    }
    if (!heard) {
        tell({"microphone '" + device + "'", "no sound came from it",
              "Check that it is plugged in and not switched off, or choose another one from "
              "'tattletone devices'"});
        return exit_failed;
    }
    return shown ? exit_done : exit_failed;
}

}  // namespace tattletone::command
