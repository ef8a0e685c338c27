#include "tones/find_tones.h"

#include <algorithm>
#include <cmath>
#include <deque>
#include <future>
#include <memory>
#include <thread>

#include "base/decibels.h"
#include "base/workers.h"
#include "tones/detect/condition.h"
#include "tones/join/join.h"
#include "tones/judge/clipping.h"
#include "tones/segment.h"

namespace tattletone::tones {
namespace {

// Up to here a recording is one segment, as sensitive as its length allows. Of longer ones the
// first minute is worked in segments of this length, the rest in half of it, whose transforms
// still fit the processor's cache.
constexpr double most_whole_seconds = 20.0, first_seconds = 60.0;
// At rates beyond a recorder's 96 kHz a segment is shorter, so that memory stays within bounds.
constexpr double most_whole_samples = 2.4e6;
constexpr double shortest_seconds = 0.5;

std::string seconds_text(double seconds) {
    char text[32];
    std::snprintf(text, sizeof text, "%.2g s", seconds);
    return text;
}

void add_crowded(const Crowded& crowded, std::vector<std::string>& notices) {
    if (crowded.steady)
        notices.push_back(
            "crowded: more steady lines stand out than are looked at, and the weakest of them may be "
            "missing. Record closer to the board or away from what else sounds");
    if (crowded.moving)
        notices.push_back(
            "crowded: more lines that move stand out than are looked at, and the weakest of them may be "
            "missing. Record where no voice or music is heard");
    if (crowded.faint)
        notices.push_back("too many faint peaks for noise: none was looked at, so only tones that stand out count");
}

}  // namespace

struct ToneFinder::State {
    State(double rate, std::string name, const FindOptions& wanted)
        : sample_rate_hz(rate),
          origin(std::move(name)),
          options(wanted),
          whole_seconds(std::min(most_whole_seconds, most_whole_samples / rate)),
          condition(rate) {
        if (options.threads <= 0) options.threads = std::max(1, static_cast<int>(std::thread::hardware_concurrency()));
    }

    std::size_t samples_of(double seconds) const { return static_cast<std::size_t>(seconds * sample_rate_hz); }

    // Sound that waits, cut as its segments are going to be, so that nothing has to be moved.
    struct Piece {
        std::size_t whole;  // as many samples as it is to hold
        std::vector<float> samples;
    };

    std::size_t waiting() const {
        std::size_t count = 0;
        for (const Piece& piece : pieces) count += piece.samples.size();
        return count;
    }

    // As many of the samples as the last piece still takes; how many that were.
    std::size_t take(std::span<const float> samples) {
        if (pieces.empty() || pieces.back().samples.size() == pieces.back().whole) {
            double begin = begin_seconds;
            for (const Piece& piece : pieces) begin += static_cast<double>(piece.samples.size()) / sample_rate_hz;
            const double seconds = begin < first_seconds ? whole_seconds : 0.5 * whole_seconds;
            pieces.push_back({samples_of(seconds), {}});
            pieces.back().samples.reserve(pieces.back().whole);
        }
        Piece& piece = pieces.back();
        const std::size_t count = std::min(samples.size(), piece.whole - piece.samples.size());
        piece.samples.insert(piece.samples.end(), samples.begin(),
                             samples.begin() + static_cast<std::ptrdiff_t>(count));
        return count;
    }

    // Analyses the first piece, on another thread where there is one to spare.
    void start() {
        std::vector<float> samples = std::move(pieces.front().samples);
        pieces.pop_front();
        const std::size_t count = samples.size();
        const double begin = begin_seconds;
        begin_seconds += static_cast<double>(count) / sample_rate_hz;
        if (static_cast<double>(count) < shortest_seconds * sample_rate_hz) return;
        auto task = std::make_shared<std::packaged_task<Segment()>>(
            [samples = std::move(samples), rate = sample_rate_hz, false_alarm = options.false_alarm_rate,
             alone = options.threads > 1 && running.empty() && pieces.empty(),
             kept = begin == 0.0 && pieces.empty() ? Kept::faint
                    : begin < first_seconds
                        ? Kept::fine
                        : Kept::lines] { return judged(lines_of_segment(samples, rate, false_alarm, alone, kept)); });
        running.push_back({begin, task->get_future()});
        // The last segment of a recording is worked by the thread that waits for it.
        if (options.threads > 1 && !pieces.empty()) {
            if (!workers) workers = std::make_unique<base::Workers>(options.threads);
            workers->run([task] { (*task)(); });
        } else {
            (*task)();
        }
        while (running.size() > static_cast<std::size_t>(options.threads) + 1) collect();
    }

    void collect() {
        joiner.add(running.front().segment.get(), running.front().begin_seconds);
        running.pop_front();
    }

    // What is left before a gap or the end: up to so much is one segment.
    void flush() {
        while (waiting() > samples_of(whole_seconds)) start();
        if (pieces.empty()) return;
        std::vector<float>& first = pieces.front().samples;
        for (; pieces.size() > 1; pieces.erase(pieces.begin() + 1))
            first.insert(first.end(), pieces[1].samples.begin(), pieces[1].samples.end());
        start();
    }

    struct Running {
        double begin_seconds;
        std::future<Segment> segment;
    };

    double sample_rate_hz;
    std::string origin;
    FindOptions options;
    double whole_seconds;
    ConditionMeter condition;
    Joiner joiner;
    std::deque<Piece> pieces;
    double begin_seconds = 0.0;
    int gaps = 0;
    std::deque<Running> running;
    std::unique_ptr<base::Workers> workers;
};

ToneFinder::ToneFinder(double sample_rate_hz, std::string origin, const FindOptions& options)
    : state_(std::make_unique<State>(sample_rate_hz, std::move(origin), options)) {}
ToneFinder::~ToneFinder() = default;
ToneFinder::ToneFinder(ToneFinder&&) noexcept = default;
ToneFinder& ToneFinder::operator=(ToneFinder&&) noexcept = default;

void ToneFinder::add(std::span<const float> samples) {
    State& s = *state_;
    s.condition.add(samples);
    const std::size_t most = s.samples_of(1.5 * s.whole_seconds);
    while (!samples.empty()) {
        const std::size_t waiting = s.waiting();
        if (waiting >= most)
            s.start();
        else
            samples = samples.subspan(s.take(samples.first(std::min(samples.size(), most - waiting))));
    }
}

void ToneFinder::add_gap() {
    state_->flush();
    ++state_->gaps;
}

Tones ToneFinder::finish() {
    State& s = *state_;
    s.flush();
    while (!s.running.empty()) s.collect();
    Tones tones = s.joiner.finish();
    tones.origin = s.origin;
    tones.sample_rate_hz = s.sample_rate_hz;
    tones.seconds = s.begin_seconds;
    tones.false_alarm_rate = s.options.false_alarm_rate;
    if (s.condition.clipped_share() >= products_from_share) {
        mark_products(tones.tones, s.sample_rate_hz);
        tones.faint.clear();  // most of them are products too
    }
    tones.notices = s.condition.notices(s.joiner.noise_db(), s.joiner.noise_hop_seconds());
    if (tones.seconds < shortest_seconds)
        tones.notices.push_back("too short: " + seconds_text(tones.seconds) + ", and tones need at least " +
                                seconds_text(shortest_seconds) + " to be told from noise. Record five seconds or more");
    else if (s.condition.silent())
        tones.tones.clear();
    else if (tones.seconds < 3.0)
        tones.notices.push_back("short: in " + seconds_text(tones.seconds) +
                                " only strong tones can be told from noise. "
                                "Record five seconds or more");
    add_crowded(s.joiner.crowded(), tones.notices);
    if (s.gaps > 0)
        tones.notices.push_back("samples were lost in " + std::to_string(s.gaps) +
                                (s.gaps == 1 ? " place" : " places") + "; the recording was analysed in pieces");
    if (!tones.floor.empty() && tones.usable.high_hz < std::min(15000.0, 0.4 * s.sample_rate_hz)) {
        char text[160];
        std::snprintf(text, sizeof text,
                      "nothing above %.1f kHz survives in this recording; a tone above that cannot "
                      "be judged",
                      tones.usable.high_hz / 1000.0);
        tones.notices.push_back(text);
    }
    return tones;
}

Tones find_tones(const sound::Recording& recording, const FindOptions& options) {
    ToneFinder finder(recording.sample_rate_hz, recording.origin, options);
    std::size_t from = 0;
    const std::span<const float> samples = recording.samples;
    for (const std::size_t gap : recording.gaps) {
        finder.add(samples.subspan(from, gap - from));
        finder.add_gap();
        from = gap;
    }
    finder.add(samples.subspan(from));
    return finder.finish();
}

}  // namespace tattletone::tones
