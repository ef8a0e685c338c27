#include "session/live/live_ear.h"

#include <algorithm>
#include <ctime>
#include <utility>

namespace tattletone::session {
namespace {

using namespace std::chrono_literals;
using Clock = std::chrono::steady_clock;

constexpr auto look_every = 50ms;
constexpr double follow_seconds = 0.3;
constexpr std::size_t most_kept = 4;
constexpr double shortest_seconds = 0.5;  // less than that is no recording (find_tones.h)
constexpr double core_share = 0.05;
constexpr double oldest_answer_seconds = 0.95;
constexpr double level_seconds = 0.5;
constexpr std::size_t block_frames = 1 << 14;

Clock::duration as_duration(double seconds) {
    return std::chrono::duration_cast<Clock::duration>(std::chrono::duration<double>(seconds));
}

}  // namespace

LiveEar::LiveEar(std::unique_ptr<sound::SoundSource> source, Analysis analysis, const LiveOptions& options,
                 std::optional<KeptSound> kept)
    : source_(std::move(source)),
      analysis_(std::move(analysis)),
      options_(options),
      kept_(std::move(kept)),
      window_(source_->sample_rate_hz(), options.window_seconds),
      block_(block_frames) {
    if (options.pictures) picture_.emplace(source_->sample_rate_hz());
    next_.device = source_->name();
    next_.sample_rate_hz = source_->sample_rate_hz();
    newest_ = std::make_shared<const Snapshot>(next_);
}

Result<std::unique_ptr<LiveEar>> LiveEar::start(std::unique_ptr<sound::SoundSource> source, Analysis analysis,
                                                const LiveOptions& options) {
    std::optional<KeptSound> kept;
    if (!options.keep.path.empty()) {
        auto created = KeptSound::create(options.keep, source->sample_rate_hz());
        if (!created) return created.error();
        kept.emplace(std::move(*created));
    }
    std::unique_ptr<LiveEar> ear(new LiveEar(std::move(source), std::move(analysis), options, std::move(kept)));
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

KeptFiles LiveEar::stop() {
    end();
    if (!kept_) return {};
    KeptFiles files = kept_->finish();
    kept_.reset();
    return files;
}

std::shared_ptr<const Snapshot> LiveEar::newest() const {
    const std::scoped_lock lock(mutex_);
    return newest_;
}

std::shared_ptr<const Snapshot> LiveEar::wait_for(std::uint64_t sequence, std::chrono::milliseconds time) const {
    std::unique_lock lock(mutex_);
    changed_.wait_for(lock, time, [&] { return newest_->sequence > sequence || stop_; });
    return newest_;
}

/// Everything that has come since. True when there was something.
bool LiveEar::drain() {
    bool some = false;
    for (sound::Piece piece = source_->read(block_); piece.frames > 0; piece = source_->read(block_)) {
        const auto samples = std::span<const float>(block_).first(piece.frames);
        if (next_.paused) {
            discarded_ = true;
            continue;
        }
        const std::uint64_t gaps = window_.gaps();
        const bool gap_before = piece.gap_before || discarded_;
        discarded_ = false;
        window_.add(samples, gap_before);
        if (picture_) picture_->add(samples, gap_before);
        if (window_.gaps() != gaps) {
            next_.window.reset();
            next_.tones.reset();
        }
        if (kept_) kept_->add(samples, gap_before);
        some = true;
    }
    return some;
}

void LiveEar::analyse() {
    auto recording = std::make_shared<sound::Recording>();
    const auto samples = window_.samples();
    recording->samples.assign(samples.begin(), samples.end());
    recording->sample_rate_hz = next_.sample_rate_hz;
    recording->origin = next_.device;
    recording->codec = "capture";
    recording->first_frame = window_.frames_heard() - samples.size();
    const std::clock_t before = std::clock();  // of the whole process: the other threads hardly count
    next_.tones = std::make_shared<const tones::Tones>(analysis_(*recording));
    next_.analysis_seconds = static_cast<double>(std::clock() - before) / CLOCKS_PER_SEC;
    next_.window = std::move(recording);
    next_.analysed_until_seconds = static_cast<double>(window_.frames_heard()) / next_.sample_rate_hz;
}

void LiveEar::publish() {
    const sound::DeviceStatus status = source_->status();
    ++next_.sequence;
    next_.seconds_heard = static_cast<double>(window_.frames_heard()) / next_.sample_rate_hz;
    next_.lost_frames = status.lost_frames;
    next_.dropouts = status.dropouts;
    next_.gaps = window_.gaps();
    next_.level = window_.level(level_seconds);
    next_.state = status.state;
    next_.message = status.message;
    if (next_.message.empty() && kept_ && kept_->error()) next_.message = base::to_sentence(*kept_->error());
    if (picture_) draw();
    auto snapshot = std::make_shared<const Snapshot>(next_);
    {
        const std::scoped_lock lock(mutex_);
        newest_ = std::move(snapshot);
    }
    changed_.notify_all();
    if (options_.published) options_.published();
}

void LiveEar::keep(int number, sound::Recording recording) {
    recording.origin = next_.device;
    next_.kept.emplace_back(number, std::make_shared<const sound::Recording>(std::move(recording)));
    if (next_.kept.size() > most_kept) next_.kept.erase(next_.kept.begin());
}

/// Takes over what other threads asked for.
void LiveEar::obey() {
    Orders orders;
    {
        const std::scoped_lock lock(mutex_);
        orders = orders_;
        orders_.capture.reset();
        orders_.past.clear();
    }
    next_.paused = orders.paused;
    next_.followed_hz = orders.follow_hz;
    if (!picture_) return;
    if (orders.capture) {
        capture_number_ = orders.capture->number;
        picture_->begin_capture(orders.capture->seconds, orders.capture->through_gaps);
    }
    for (const auto& [number, seconds] : orders.past) keep(number, picture_->past(seconds));
    if (auto recording = picture_->captured()) keep(capture_number_, std::move(*recording));
}

void LiveEar::draw() {
    double half_width_hz = 0.0, bin_hz = 0.0;
    {
        const std::scoped_lock lock(mutex_);
        half_width_hz = orders_.follow_half_width_hz;
        bin_hz = orders_.bin_hz;
    }
    if (picture_->curve_due(bin_hz)) next_.spectrum = picture_->curve(bin_hz);
    next_.spectrogram = picture_->spectrogram();
    next_.capture_seconds = picture_->captured_seconds();
    if (next_.followed_hz)
        next_.followed =
            level_near(picture_->newest(follow_seconds), next_.sample_rate_hz, *next_.followed_hz, half_width_hz);
}

void LiveEar::pause(bool paused) {
    const std::scoped_lock lock(mutex_);
    orders_.paused = paused;
}

void LiveEar::follow(std::optional<double> hz, double half_width_hz) {
    const std::scoped_lock lock(mutex_);
    orders_.follow_hz = hz;
    orders_.follow_half_width_hz = half_width_hz;
}

void LiveEar::resolve(double bin_hz) {
    const std::scoped_lock lock(mutex_);
    orders_.bin_hz = bin_hz;
}

int LiveEar::capture(double seconds, bool through_gaps) {
    const std::scoped_lock lock(mutex_);
    orders_.capture = {++orders_.last_number, seconds, through_gaps};
    return orders_.last_number;
}

void LiveEar::end_capture() {
    const std::scoped_lock lock(mutex_);
    orders_.capture = {++orders_.last_number, 0.0, false};
}

int LiveEar::keep_past(double seconds) {
    const std::scoped_lock lock(mutex_);
    orders_.past.emplace_back(++orders_.last_number, seconds);
    return orders_.last_number;
}

void LiveEar::listen() {
    auto analyse_at = Clock::now();
    auto publish_at = Clock::now();
    bool fresh = false;
    while (true) {
        fresh = drain() || fresh;
        obey();
        const auto now = Clock::now();
        const double seconds = static_cast<double>(window_.samples().size()) / next_.sample_rate_hz;
        const bool due = fresh && now >= analyse_at && seconds >= shortest_seconds;
        if (due) {
            analyse();
            fresh = false;
            // On a busy machine an analysis lasts longer than it costs, and its answer is older.
            const double lasted = std::chrono::duration<double>(Clock::now() - now).count();
            const double pause = std::clamp(next_.analysis_seconds / core_share, options_.analyse_every_seconds,
                                            std::max(options_.analyse_every_seconds, oldest_answer_seconds - lasted));
            analyse_at = now + as_duration(pause);
        }
        if (due || now >= publish_at || source_->status().state != next_.state) {
            publish();
            publish_at = Clock::now() + as_duration(options_.publish_every_seconds);
        }
        // Not later than the next analysis is due: an answer would be older than it need be.
        const auto waking = Clock::now();
        const auto wake_at = analyse_at > waking ? std::min(waking + look_every, analyse_at) : waking + look_every;
        std::unique_lock lock(mutex_);
        if (changed_.wait_until(lock, wake_at, [&] { return stop_; })) break;
    }
    drain();
    publish();
}

}  // namespace tattletone::session
