#include "sound/clip/clip_reader.h"

#include <algorithm>
#include <utility>

#include "sound/clip/channel_choice.h"
#include "sound/clip/clip_errors.h"
#include "sound/clip/clip_limits.h"
#include "sound/clip/memory_guard.h"
#include "sound/clip/notice_text.h"
#include "sound/clip/sane_samples.h"
#include "sound/clip/wav_source.h"
#include "sound/decoder/decoder_source.h"

namespace tattletone::sound {
namespace {

constexpr double look_seconds = 20.0;           // of every channel, before one is chosen
constexpr std::size_t look_samples = 1u << 23;  // over all channels together: bounds the memory
constexpr std::size_t block_frames = 1u << 14;

Result<std::unique_ptr<ClipSource>> open_source(const std::string& path) {
    auto stream = ByteStream::open(path);
    if (!stream) return stream.error();
    auto header = read_wav_header(*stream, path);
    if (!header) return header.error();
    if (*header) {
        const bool known = stream->seekable();  // the file is as long as that
        auto source = make_wav_source(std::move(*stream), **header);
        if (known && source->format().seconds > clip_limits::longest_seconds) return clip_errors::too_long(path);
        return source;
    }
    return make_decoder_source(std::move(*stream), path);
}

/// What the clip says of itself, before anything is made as large as that.
std::optional<Error> beyond_limits(const ClipSource::Format& format, const std::string& path) {
    using namespace clip_limits;
    if (!(format.sample_rate_hz >= lowest_rate_hz && format.sample_rate_hz <= highest_rate_hz))
        return clip_errors::rate_out_of_range(path, format.sample_rate_hz);
    if (format.channels < 1 || format.channels > most_channels)
        return clip_errors::too_many_channels(path, format.channels);
    if (format.seconds && *format.seconds <= 0.0) return clip_errors::no_samples(path);
    return std::nullopt;
}

}  // namespace

struct ClipReader::State {
    std::unique_ptr<ClipSource> source;
    ClipInfo info;
    std::vector<float> weights;
    std::vector<float> head;  // what was read to choose, interleaved
    std::size_t head_from = 0;
    std::vector<std::size_t> head_gaps;  // in frames
    std::vector<float> block;
    std::size_t delivered = 0;
    std::vector<std::size_t> gaps;
    double read_samples = 0.0, nonsense = 0.0;  // over all channels

    void look_ahead();
    Piece read_source(std::span<float> interleaved);
    std::optional<Error> too_much() const;
    Piece read_frames(std::span<float> interleaved);
    void mix(std::span<const float> interleaved, std::span<float> mono) const;
};

void ClipReader::State::look_ahead() {
    const auto channels = static_cast<std::size_t>(info.channels);
    const auto frames = std::min(static_cast<std::size_t>(look_seconds * info.sample_rate_hz), look_samples / channels);
    const double promised = std::min(info.seconds.value_or(look_seconds), look_seconds);
    head.reserve(std::min(frames, static_cast<std::size_t>(promised * info.sample_rate_hz) + 1) * channels);
    while (head.size() < frames * channels) {
        const std::size_t start = head.size();
        head.resize(start + std::min(block_frames, frames - start / channels) * channels);
        const Piece piece = read_source(std::span(head).subspan(start));
        if (piece.gap_before) head_gaps.push_back(start / channels);
        head.resize(start + piece.frames * channels);
        if (piece.frames == 0) break;
    }
    ChannelChoice choice = choose_channels(head, channels, info.sample_rate_hz);
    weights = std::move(choice.weights);
    info.channel_choice = std::move(choice.reason);
}

Piece ClipReader::State::read_source(std::span<float> interleaved) {
    const Piece piece = source->read(interleaved);
    const std::size_t count = piece.frames * static_cast<std::size_t>(info.channels);
    nonsense += static_cast<double>(make_sane(interleaved.first(count)));
    read_samples += static_cast<double>(count);
    return piece;
}

/// What only reading shows: a header may be silent about the length, or lie.
std::optional<Error> ClipReader::State::too_much() const {
    using namespace clip_limits;
    if (static_cast<double>(delivered) > longest_seconds * info.sample_rate_hz)
        return clip_errors::too_long(info.origin);
    const double coded = source->coded_bytes();
    if (coded > 0.0 && read_samples > free_samples + samples_a_byte * coded)
        return clip_errors::unfolds_too_far(info.origin);
    return std::nullopt;
}

Piece ClipReader::State::read_frames(std::span<float> interleaved) {
    if (head_from == head.size()) return read_source(interleaved);
    const auto channels = static_cast<std::size_t>(info.channels);
    Piece piece;
    std::size_t part = std::min(interleaved.size() / channels * channels, head.size() - head_from);
    if (!head_gaps.empty() && head_gaps.front() * channels == head_from) {
        piece.gap_before = true;
        head_gaps.erase(head_gaps.begin());
    }
    if (!head_gaps.empty()) part = std::min(part, head_gaps.front() * channels - head_from);
    std::copy_n(head.begin() + static_cast<std::ptrdiff_t>(head_from), part, interleaved.begin());
    head_from += part;
    if (head_from == head.size()) {
        head = {};
        head_from = 0;
    }
    piece.frames = part / channels;
    return piece;
}

void ClipReader::State::mix(std::span<const float> interleaved, std::span<float> mono) const {
    const std::size_t channels = weights.size();
    const auto chosen = std::find(weights.begin(), weights.end(), 1.0f);
    if (chosen != weights.end()) {  // the weights sum to one at most, so the rest is zero
        const auto c = static_cast<std::size_t>(chosen - weights.begin());
        for (std::size_t i = 0; i < mono.size(); ++i) mono[i] = interleaved[i * channels + c];
        return;
    }
    for (std::size_t i = 0; i < mono.size(); ++i) {
        float sum = 0.0f;
        for (std::size_t c = 0; c < channels; ++c) sum += weights[c] * interleaved[i * channels + c];
        mono[i] = sum;
    }
}

ClipReader::ClipReader(std::unique_ptr<State> state) : state_(std::move(state)) {}
ClipReader::~ClipReader() = default;
ClipReader::ClipReader(ClipReader&&) noexcept = default;
ClipReader& ClipReader::operator=(ClipReader&&) noexcept = default;

Result<ClipReader> ClipReader::open(const std::string& path) {
    return with_memory_for(path, [&]() -> Result<ClipReader> {
        auto source = open_source(path);
        if (!source) return source.error();
        auto state = std::make_unique<State>();
        state->source = std::move(*source);
        const ClipSource::Format& format = state->source->format();
        if (auto error = beyond_limits(format, path)) return *error;
        state->info = {path, format.sample_rate_hz, format.channels, format.codec, format.lossy, format.seconds, ""};
        if (format.channels > 1) state->look_ahead();
        if (format.channels > 1 && state->head.empty()) return clip_errors::no_samples(path);
        return ClipReader(std::move(state));
    });
}

const ClipInfo& ClipReader::info() const {
    return state_->info;
}
const std::vector<std::size_t>& ClipReader::gaps() const {
    return state_->gaps;
}
double ClipReader::kilobits_per_second() const {
    const double seconds = static_cast<double>(state_->delivered) / state_->info.sample_rate_hz;
    return seconds > 0.0 ? 8e-3 * state_->source->coded_bytes() / seconds : 0.0;
}
bool ClipReader::broke_off() const {
    return state_->source->failed();
}
std::vector<std::string> ClipReader::notices() const {
    std::vector<std::string> notices = state_->source->notices();
    if (state_->nonsense > 0.0) notices.push_back(notice_text::nonsense(state_->nonsense));
    return notices;
}

Result<std::size_t> ClipReader::read(std::span<float> samples) {
    return with_memory_for(state_->info.origin, [&] { return read_piece(samples); });
}

Result<std::size_t> ClipReader::read_piece(std::span<float> samples) {
    State& state = *state_;
    const auto channels = static_cast<std::size_t>(state.info.channels);
    Piece piece;
    if (channels == 1) {
        piece = state.read_frames(samples);
    } else {
        const std::size_t frames = std::min(samples.size(), block_frames);
        state.block.resize(block_frames * channels);
        piece = state.read_frames(std::span(state.block).first(frames * channels));
        state.mix(std::span<const float>(state.block).first(piece.frames * channels), samples.first(piece.frames));
    }
    if (piece.frames == 0 && state.delivered == 0) {
        return state.source->failed() ? clip_errors::unreadable(state.info.origin)
                                      : clip_errors::no_samples(state.info.origin);
    }
    if (piece.frames == 0 && state.nonsense > 0.5 * state.read_samples)
        return clip_errors::not_to_full_scale(state.info.origin);
    if (piece.gap_before && piece.frames > 0) state.gaps.push_back(state.delivered);
    state.delivered += piece.frames;
    if (auto error = state.too_much()) return *error;
    return piece.frames;
}

namespace {

Result<Recording> whole_clip(const std::string& path) {
    auto reader = ClipReader::open(path);
    if (!reader) return reader.error();
    Recording recording;
    const ClipInfo& info = reader->info();
    // A header may promise more than there is: believe at most ten minutes beforehand.
    const double expected = std::clamp(info.seconds.value_or(0.0), 0.0, 600.0);
    recording.samples.reserve(static_cast<std::size_t>(expected * info.sample_rate_hz) + block_frames);
    std::size_t done = 0;
    while (true) {
        recording.samples.resize(done + 4 * block_frames);
        auto got = reader->read(std::span(recording.samples).subspan(done));
        if (!got) return got.error();
        if (*got == 0) break;
        done += *got;
    }
    recording.samples.resize(done);
    recording.sample_rate_hz = info.sample_rate_hz;
    recording.origin = info.origin;
    recording.codec = info.codec;
    recording.lossy = info.lossy;
    recording.channel_choice = info.channel_choice;
    recording.gaps = reader->gaps();
    recording.notices = reader->notices();
    return recording;
}

}  // namespace

Result<Recording> read_clip(const std::string& path) {
    return with_memory_for(path, [&] { return whole_clip(path); });
}

}  // namespace tattletone::sound
