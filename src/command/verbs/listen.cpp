#include <algorithm>
#include <atomic>
#include <chrono>
#include <csignal>
#include <utility>

#include "command/analysed_clips.h"
#include "command/arguments/board_file.h"
#include "command/arguments/log_options.h"
#include "command/arguments/options.h"
#include "command/arguments/trace_options.h"
#include "command/clip_tones.h"
#include "command/terminal/console.h"
#include "command/terminal/live_view.h"
#include "report/confirmed.h"
#include "report/text/wrap.h"
#include "session/live/live_ear.h"
#include "sound/capture/microphone.h"
#include "toggle/plan/prompt.h"
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
    std::string board, device, seconds_text, plan;
    ClipOptions clips;
    LogOptions log;
    TraceOptions trace;
    base::OutputFile keep;
    bool json = false;
    double seconds = 0.0;  // 0: until interrupted
};

/// What is known besides the sound that comes in.
struct Evidence {
    std::optional<board::BoardSheet> sheet;
    tones::Take live;  ///< without its tones
    AnalysedClips clips;
    std::optional<report::Confirmed> confirmed;
    std::optional<TraceEvidence> trace;
};

std::optional<Evidence> read_evidence(const Options& options, const ListenOptions& wanted, ListedClips listed,
                                      int& status) {
    Evidence evidence;
    auto bench = open_bench(options, wanted.log, wanted.board, status);
    if (!bench) return std::nullopt;
    if (bench->board) evidence.sheet = std::move(bench->board->sheet);
    evidence.confirmed = std::move(bench->confirmed);
    status = exit_failed;
    if (!fits_sheet(listed, evidence.sheet ? &*evidence.sheet : nullptr)) return std::nullopt;
    evidence.live = *listed.live;
    auto clips = analyse_clips(std::move(listed));
    if (!clips) return std::nullopt;
    evidence.clips = std::move(*clips);
    evidence.trace = trace_evidence(options, wanted.trace, evidence.sheet ? &*evidence.sheet : nullptr, status);
    if (status != exit_done) return std::nullopt;
    return evidence;
}

match::Findings judge(const session::Snapshot& snapshot, const Evidence& evidence) {
    AnalysedClips clips = evidence.clips;
    tones::Take& live = *clips.takes.insert(clips.takes.begin(), evidence.live);
    live.path = snapshot.device;
    live.found = *snapshot.tones;
    auto trace = evidence.trace ? std::optional(evidence.trace->join) : std::nullopt;
    return report::diagnose_here(evidence.sheet ? &*evidence.sheet : nullptr, united(std::move(clips)),
                                 evidence.confirmed ? &*evidence.confirmed : nullptr, trace ? &*trace : nullptr);
}

/// Tells a person when to switch what, by the sound's own clock.
class Prompter {
  public:
    explicit Prompter(const toggle::Plan& plan) : plan_(plan) {}

    std::string words_at(double seconds) const { return toggle::prompt_words(toggle::prompt_at(plan_, seconds)); }
    /// Where lines stay: one for each switching.
    void tell_changes(double seconds) {
        const toggle::Prompt prompt = toggle::prompt_at(plan_, seconds);
        if (told_ == prompt.switched && begun_) return;
        begun_ = true;
        told_ = prompt.switched;
        tell_note(toggle::prompt_words(prompt));
    }

  private:
    const toggle::Plan& plan_;
    std::size_t told_ = 0;
    bool begun_ = false;
};

/// Draws each new snapshot in the way that fits where the output goes.
class Display {
  public:
    explicit Display(bool json) : json_(json), terminal_(terminal_of(Stream::out)) {}

    bool wants_line_for_each() const { return json_ || !terminal_.present; }

    bool show(const session::Snapshot& snapshot, const std::optional<match::Findings>& findings,
              const std::string& prompt) {
        if (json_) return print(live_json(snapshot, findings));
        if (!terminal_.present) return print(live_line(snapshot, findings));
        terminal_ = terminal_of(Stream::out);
        std::string block;
        if (!prompt.empty()) block = report::wrapped(prompt, std::min(terminal_.columns, 100));
        const int left = terminal_.rows - 1 - static_cast<int>(std::count(block.begin(), block.end(), '\n'));
        block += live_block(snapshot, findings, std::min(terminal_.columns, 100), std::max(left, 4), terminal_.bold);
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
bool follow(const session::LiveEar& ear, const ListenOptions& wanted, const Evidence& evidence,
            const toggle::Plan* plan, std::shared_ptr<const session::Snapshot>& last) {
    Display display(wanted.json);
    std::optional<Prompter> prompter;
    if (plan != nullptr) prompter.emplace(*plan);
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
        if (prompter && display.wants_line_for_each()) prompter->tell_changes(last->seconds_heard);
        const bool answer = last->tones != judged;
        if (answer) {
            judged = last->tones;
            findings.reset();
            if (judged) findings = judge(*last, evidence);
        }
        const bool turned = last->state != state;
        state = last->state;
        if (display.wants_line_for_each()) {
            const bool due = Clock::now() >= next_line || (wanted.json && answer);
            if (!due && !turned) continue;
            next_line = Clock::now() + 1s;
        }
        if (!display.show(*last, findings, prompter ? prompter->words_at(last->seconds_heard) : "")) return false;
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
                    "  tattletone listen --board heron.toml --room room.flac --state ranging\n"
                    "  tattletone listen --board heron.toml take.flac --off ranger\n"
                    "  tattletone listen --seconds 30 --keep take.flac --json\n"
                    "  tattletone listen --toggle plan.csv --keep take.flac");
    options.app.add_option("--board", wanted.board, "the board sheet")->type_name("SHEET");
    wanted.clips.live = true;
    declare_clips(options, wanted.clips);
    declare_trace(options, wanted.trace);
    declare_unit_options(options, wanted.log);
    options.app.add_option("--device", wanted.device, "number or part of the name, as 'devices' lists them")
        ->type_name("D");
    options.app.add_option("--seconds", wanted.seconds_text, "end after so many seconds of sound")->type_name("N");
    options
        .output_file("--keep", wanted.keep, base::OutputKind::recording,
                     "keep what was heard, as flac or wav; after a gap it goes on in FILE-2")
        ->type_name("FILE");
    options.app.add_option("--toggle", wanted.plan, "say when to switch what, by this plan ('tattletone help toggle')")
        ->type_name("PLAN.csv");
    options.flag("--json", wanted.json, "one JSON object a line: the findings, and how the listening goes");
    if (const auto status = options.parse(arguments)) return *status;
    if (!wanted.seconds_text.empty()) {
        const auto seconds = options.number("--seconds", wanted.seconds_text, 0.5, 1e7);
        if (!seconds) return exit_usage;
        wanted.seconds = *seconds;
    }
    auto listed = list_clips(options, wanted.clips);
    if (!listed || !trace_fits(options, wanted.trace, listed->take_stdin())) return exit_usage;
    int status = exit_done;
    const auto evidence = read_evidence(options, wanted, std::move(*listed), status);
    if (!evidence) return status;
    std::optional<toggle::Plan> plan;
    if (!wanted.plan.empty()) {
        auto read = toggle::read_plan(wanted.plan);
        if (!read) {
            tell(read.error());
            return exit_failed;
        }
        plan = std::move(*read);
        if (wanted.seconds == 0.0) wanted.seconds = toggle::prompt_lead_seconds + plan->seconds() + 1.0;
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
    const bool shown = follow(**ear, wanted, *evidence, plan ? &*plan : nullptr, last);
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
