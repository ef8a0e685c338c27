#include "session/live_ear.h"

#include <algorithm>
#include <ctime>
#include <utility>

namespace tattletone {
namespace {

using namespace std::chrono_literals;
using Clock = std::chrono::steady_clock;

constexpr auto look_every = 50ms;
constexpr auto publish_every = 250ms;     // level and device state, between two analyses
constexpr double shortest_seconds = 0.5;  // less than that is no recording (find_tones.h)
constexpr double core_share = 0.05;
constexpr double oldest_answer_seconds = 0.9;
constexpr double level_seconds = 0.5;
constexpr std::size_t block_frames = 1 << 14;

Clock::duration as_duration(double seconds) {
    return std::chrono::duration_cast<Clock::duration>(std::chrono::duration<double>(seconds));
}

}  // namespace

LiveEar::LiveEar(std::unique_ptr<SoundSource> source, Analysis analysis, const LiveOptions& options,
                 std::optional<KeptSound> kept)
    : source_(std::move(source)),
      analysis_(std::move(analysis)),
      options_(options),
      kept_(std::move(kept)),
      window_(source_->sample_rate_hz(), options.window_seconds),
      block_(block_frames) {
    next_.device = source_->name();
    next_.sample_rate_hz = source_->sample_rate_hz();
    newest_ = std::make_shared<const Snapshot>(next_);
}

Result<std::unique_ptr<LiveEar>> LiveEar::start(std::unique_ptr<SoundSource> source,
                                                Analysis analysis, const LiveOptions& options) {
    std::optional<KeptSound> kept;
    if (!options.keep_path.empty()) {
        auto created = KeptSound::create(options.keep_path, source->sample_rate_hz());
        if (!created) return created.error();
        kept.emplace(std::move(*created));
    }
    std::unique_ptr<LiveEar> ear(
        new LiveEar(std::move(source), std::move(analysis), options, std::move(kept)));
    ear->thread_ = std::thread(&LiveEar::listen, ear.get());
    return ear;
}

LiveEar::~LiveEar() {
    end();
}

void LiveEar::end() {
    {
        const std::scoped_lock lock(mutex_);
        stop_ = true;
    }
    changed_.notify_all();
    if (thread_.joinable()) thread_.join();
}

Result<std::vector<std::string>> LiveEar::stop() {
    end();
    if (!kept_) return std::vector<std::string>();
    auto written = kept_->finish();
    kept_.reset();
    return written;
}

std::shared_ptr<const Snapshot> LiveEar::newest() const {
    const std::scoped_lock lock(mutex_);
    return newest_;
}

std::shared_ptr<const Snapshot> LiveEar::wait_for(std::uint64_t sequence,
                                                  std::chrono::milliseconds time) const {
    std::unique_lock lock(mutex_);
    changed_.wait_for(lock, time, [&] { return newest_->sequence > sequence || stop_; });
    return newest_;
}

/// Everything that has come since. True when there was something.
bool LiveEar::drain() {
    bool some = false;
    for (Piece piece = source_->read(block_); piece.frames > 0; piece = source_->read(block_)) {
        const auto samples = std::span<const float>(block_).first(piece.frames);
        const std::uint64_t gaps = window_.gaps();
        window_.add(samples, piece.gap_before);
        if (window_.gaps() != gaps) {
            next_.window.reset();
            next_.tones.reset();
        }
        if (kept_) kept_->add(samples, piece.gap_before);
        some = true;
    }
    return some;
}

void LiveEar::analyse() {
    auto recording = std::make_shared<Recording>();
    const auto samples = window_.samples();
    recording->samples.assign(samples.begin(), samples.end());
    recording->sample_rate_hz = next_.sample_rate_hz;
    recording->origin = next_.device;
    recording->codec = "capture";
    const std::clock_t before =
        std::clock();  // of the whole process: the other threads hardly count
    next_.tones = std::make_shared<const Tones>(analysis_(*recording));
    next_.analysis_seconds = static_cast<double>(std::clock() - before) / CLOCKS_PER_SEC;
    next_.window = std::move(recording);
    next_.analysed_until_seconds =
        static_cast<double>(window_.frames_heard()) / next_.sample_rate_hz;
}

void LiveEar::publish() {
    const DeviceStatus status = source_->status();
    ++next_.sequence;
    next_.seconds_heard = static_cast<double>(window_.frames_heard()) / next_.sample_rate_hz;
    next_.lost_frames = status.lost_frames;
    next_.dropouts = status.dropouts;
    next_.gaps = window_.gaps();
    next_.level = window_.level(level_seconds);
    next_.state = status.state;
    next_.message = status.message;
    if (next_.message.empty() && kept_ && kept_->error())
        next_.message = to_sentence(*kept_->error());
    auto snapshot = std::make_shared<const Snapshot>(next_);
    {
        const std::scoped_lock lock(mutex_);
        newest_ = std::move(snapshot);
    }
    changed_.notify_all();
}

void LiveEar::listen() {
    auto analyse_at = Clock::now();
    auto publish_at = Clock::now();
    bool fresh = false;
    while (true) {
        fresh = drain() || fresh;
        const auto now = Clock::now();
        const double seconds = static_cast<double>(window_.samples().size()) / next_.sample_rate_hz;
        const bool due = fresh && now >= analyse_at && seconds >= shortest_seconds;
        if (due) {
            analyse();
            fresh = false;
            const double pause =
                std::clamp(next_.analysis_seconds / core_share, options_.analyse_every_seconds,
                           std::max(options_.analyse_every_seconds,
                                    oldest_answer_seconds - next_.analysis_seconds));
            analyse_at = now + as_duration(pause);
        }
        if (due || now >= publish_at || source_->status().state != next_.state) {
            publish();
            publish_at = Clock::now() + publish_every;
        }
        std::unique_lock lock(mutex_);
        if (changed_.wait_for(lock, look_every, [&] { return stop_; })) break;
    }
    drain();
    publish();
}

}  // namespace tattletone
