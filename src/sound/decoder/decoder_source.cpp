#include "sound/decoder/decoder_source.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <cstring>
#include <new>
#include <string_view>
#include <utility>

extern "C" {
#include <libavcodec/avcodec.h>
#include <libavformat/avformat.h>
#include <libavutil/opt.h>
}

#include "sound/clip/clip_errors.h"
#include "sound/clip/clip_limits.h"
#include "sound/clip/memory_guard.h"
#include "sound/clip/notice_text.h"
#include "sound/decoder/decoder_allowed.h"
#include "sound/decoder/decoder_bytes.h"
#include "sound/decoder/decoder_samples.h"

namespace tattletone::sound {
namespace {

constexpr std::int64_t free_packets = 1 << 20;  // besides one a byte
constexpr double timestamp_jump_seconds = 0.1;  // containers round time stamps to milliseconds

struct FreeContainer {
    void operator()(AVFormatContext* container) const { avformat_close_input(&container); }
};
struct FreeDecoder {
    void operator()(AVCodecContext* decoder) const { avcodec_free_context(&decoder); }
};
struct FreeFrame {
    void operator()(AVFrame* frame) const { av_frame_free(&frame); }
};
struct FreePacket {
    void operator()(AVPacket* packet) const { av_packet_free(&packet); }
};

/// A playlist must not make the program open other files or addresses.
int refuse_to_open(AVFormatContext*, AVIOContext**, const char*, int, AVDictionary**) {
    return AVERROR(EACCES);
}

bool looks_like_text(std::span<const unsigned char> bytes) {
    return !bytes.empty() && std::all_of(bytes.begin(), bytes.end(), [](unsigned char c) {
        return c >= 0x20 || c == '\n' || c == '\r' || c == '\t' || c == '\f' || c == 0x1B;
    });
}

/// The commonest pictures that come in place of a clip.
bool looks_like_picture(std::string_view bytes) {
    const auto begins = [&](std::string_view by) { return bytes.substr(0, by.size()) == by; };
    return begins("\xFF\xD8\xFF") || begins("\x89PNG\r\n") || begins("GIF8") ||
           (begins("RIFF") && bytes.size() >= 12 && bytes.substr(8, 4) == "WEBP");
}

class DecoderSource final : public ClipSource {
  public:
    DecoderSource(ByteStream stream, std::string path) : bytes_{std::move(stream)}, path_(std::move(path)) {}

    std::optional<Error> open();
    Piece read(std::span<float> interleaved) override;

  private:
    std::optional<Error> open_container();
    std::optional<Error> open_decoder(AVStream& track);
    Error why_not_opened();
    Error no_memory() const;
    bool too_many_faults() const;
    bool refill();
    bool take(AVFrame& frame);
    bool feed_decoder();
    void finish();

    DecoderBytes bytes_;
    std::string path_;
    DecoderIo io_;
    std::unique_ptr<AVFormatContext, FreeContainer> container_;
    std::unique_ptr<AVCodecContext, FreeDecoder> decoder_;
    std::unique_ptr<AVFrame, FreeFrame> frame_;
    std::unique_ptr<AVPacket, FreePacket> packet_;
    int track_ = -1;
    std::vector<float> waiting_;  // decoded, interleaved, not yet handed out
    std::size_t waiting_from_ = 0;
    bool gap_ = false;  // before the waiting samples
    bool no_more_packets_ = false;
    bool finished_ = false;
    std::optional<double> expected_seconds_;
    double decoded_frames_ = 0.0;
    int damaged_ = 0;
    int jumps_ = 0;
    bool changed_format_ = false;
    bool encrypted_ = false;
    bool out_of_memory_ = false;
    std::int64_t packets_ = 0;
    std::size_t most_bytes_ = 0;
};

Error DecoderSource::why_not_opened() {
    unsigned char head[512];
    if (bytes_.stream.failed()) return clip_errors::unreadable(path_);
    if (!bytes_.stream.seek(0)) return clip_errors::not_sound(path_);
    const std::size_t got = bytes_.stream.read(head, sizeof head);
    if (got == 0) return clip_errors::empty_file(path_);
    if (got >= 8 && std::memcmp(head + 4, "ftyp", 4) == 0) return clip_errors::cut_before_index(path_);
    if (looks_like_text({head, got})) return clip_errors::text_not_sound(path_);
    if (looks_like_picture({reinterpret_cast<const char*>(head), got})) return clip_errors::no_sound_track(path_);
    return clip_errors::not_sound(path_);
}

/// The library was refused memory. Where there would be as much as it may have, the clip asked for more.
Error DecoderSource::no_memory() const {
    const std::unique_ptr<char[]> probe(new (std::nothrow) char[most_bytes_]);
    return probe ? clip_errors::asks_too_much_memory(path_) : clip_errors::not_enough_memory(path_);
}

bool DecoderSource::too_many_faults() const {
    return static_cast<std::size_t>(damaged_) + static_cast<std::size_t>(jumps_) >= clip_limits::most_faults;
}

std::optional<Error> DecoderSource::open_container() {
    io_ = make_io(bytes_);
    if (!io_) return clip_errors::not_enough_memory(path_);
    AVFormatContext* container = avformat_alloc_context();
    if (container == nullptr) return clip_errors::not_enough_memory(path_);
    container->pb = io_.get();
    container->flags |= AVFMT_FLAG_CUSTOM_IO;
    container->io_open = refuse_to_open;
    if (!decoder_allowed::restrict_container(*container)) {
        avformat_free_context(container);
        return clip_errors::not_enough_memory(path_);
    }
    // The one way by which this container names another file; off is also the library's choice.
    AVDictionary* options = nullptr;
    av_dict_set(&options, "enable_drefs", "0", 0);
    av_dict_set(&options, "use_absolute_path", "0", 0);
    const int opened = avformat_open_input(&container, nullptr, nullptr, &options);
    av_dict_free(&options);
    if (opened < 0) return opened == AVERROR(ENOMEM) ? no_memory() : why_not_opened();
    container_.reset(container);
    return std::nullopt;
}

std::optional<Error> DecoderSource::open() {
    av_log_set_level(AV_LOG_QUIET);
    most_bytes_ = decoder_allowed::most_bytes(bytes_.stream.size());
    av_max_alloc(most_bytes_);
    if (!bytes_.stream.seekable()) {
        unsigned char head[8];
        const bool index_may_be_last =
            bytes_.stream.read(head, sizeof head) == sizeof head && std::memcmp(head + 4, "ftyp", 4) == 0;
        bytes_.stream.seek(0);
        if (index_may_be_last && !bytes_.stream.spool()) return clip_errors::no_room_to_spool(path_);
    }
    if (auto error = open_container()) return error;

    const auto best = [&]() { return av_find_best_stream(container_.get(), AVMEDIA_TYPE_AUDIO, -1, -1, nullptr, 0); };
    track_ = best();
    const auto known = [&]() {
        const AVCodecParameters& said = *container_->streams[track_]->codecpar;
        return said.codec_id != AV_CODEC_ID_NONE && said.sample_rate > 0 && said.ch_layout.nb_channels > 0;
    };
    if (track_ < 0 || !known()) {
        // Reads ahead: only where it must.
        if (avformat_find_stream_info(container_.get(), nullptr) == AVERROR(ENOMEM)) return no_memory();
        track_ = best();
    }
    if (track_ < 0) {
        const bool pictures = av_find_best_stream(container_.get(), AVMEDIA_TYPE_VIDEO, -1, -1, nullptr, 0) >= 0;
        return pictures ? clip_errors::no_sound_track(path_) : why_not_opened();
    }
    int sound_tracks = 0;
    for (unsigned i = 0; i < container_->nb_streams; ++i) {
        sound_tracks += container_->streams[i]->codecpar->codec_type == AVMEDIA_TYPE_AUDIO;
        if (static_cast<int>(i) != track_) container_->streams[i]->discard = AVDISCARD_ALL;
    }
    if (sound_tracks > 1) {
        notices_.push_back("The file has " + std::to_string(sound_tracks) +
                           " sound tracks; the one marked as the main one was used.");
    }
    AVStream& track = *container_->streams[track_];
    if (auto error = open_decoder(track)) return error;
    bytes_.stream.stop_keeping();
    bytes_.header_is_read();
    if (!refill()) {
        if (bytes_.stream.failed()) return clip_errors::unreadable(path_);
        if (out_of_memory_) return no_memory();
        if (encrypted_) return clip_errors::encrypted(path_);
        return damaged_ > 0 ? clip_errors::nothing_decodable(path_) : clip_errors::no_samples(path_);
    }
    if (track.duration > 0 && container_->duration_estimation_method != AVFMT_DURATION_FROM_BITRATE) {
        const double seconds = static_cast<double>(track.duration) * av_q2d(track.time_base);
        if (std::isfinite(seconds) && seconds > 0.0) format_.seconds = seconds;
    }
    return std::nullopt;
}

std::optional<Error> DecoderSource::open_decoder(AVStream& track) {
    const AVCodecParameters& said = *track.codecpar;
    const bool protected_tag =
        said.codec_tag == MKTAG('e', 'n', 'c', 'a') || said.codec_tag == MKTAG('d', 'r', 'm', 's');
    if (protected_tag || av_stream_get_side_data(&track, AV_PKT_DATA_ENCRYPTION_INIT_INFO, nullptr)) {
        return clip_errors::encrypted(path_);
    }
    const AVCodec* codec = avcodec_find_decoder(said.codec_id);
    if (codec == nullptr || !decoder_allowed::codec(said.codec_id))
        return clip_errors::unknown_codec(path_, avcodec_get_name(said.codec_id));
    decoder_.reset(avcodec_alloc_context3(codec));
    frame_.reset(av_frame_alloc());
    packet_.reset(av_packet_alloc());
    if (!decoder_ || !frame_ || !packet_ || avcodec_parameters_to_context(decoder_.get(), &said) == AVERROR(ENOMEM))
        return no_memory();
    decoder_->max_samples = decoder_allowed::most_frame_samples;
    decoder_->pkt_timebase = track.time_base;
    decoder_->thread_count = 1;
    av_opt_set(decoder_.get(), "codec_whitelist", decoder_allowed::decoder_names().c_str(), 0);
    if (said.codec_id == AV_CODEC_ID_FLAC) decoder_->err_recognition = AV_EF_CRCCHECK | AV_EF_EXPLODE;
    if (const int opened = avcodec_open2(decoder_.get(), codec, nullptr); opened < 0) {
        if (opened == AVERROR(ENOMEM)) return no_memory();
        return clip_errors::unknown_codec(path_, avcodec_get_name(said.codec_id));
    }
    format_.codec = avcodec_get_name(said.codec_id);
    const AVCodecDescriptor* about = avcodec_descriptor_get(said.codec_id);
    format_.lossy = about == nullptr || (about->props & AV_CODEC_PROP_LOSSLESS) == 0;
    return std::nullopt;
}

bool DecoderSource::take(AVFrame& frame) {
    if (frame.nb_samples <= 0) return false;
    if (format_.channels == 0) {
        // The decoder knows better than the container (AAC with band replication doubles the rate).
        format_.channels = frame.ch_layout.nb_channels;
        format_.sample_rate_hz = frame.sample_rate;
    } else if (frame.ch_layout.nb_channels != format_.channels ||
               frame.sample_rate != static_cast<int>(format_.sample_rate_hz)) {
        changed_format_ = true;
        return false;
    }
    if (frame.best_effort_timestamp != AV_NOPTS_VALUE) {
        const double now = static_cast<double>(frame.best_effort_timestamp) * av_q2d(decoder_->pkt_timebase);
        if (expected_seconds_ && std::abs(now - *expected_seconds_) > timestamp_jump_seconds) {
            jumps_ += gap_ ? 0 : 1;
            gap_ = true;
        }
        expected_seconds_ = now;
    }
    if (expected_seconds_) *expected_seconds_ += frame.nb_samples / format_.sample_rate_hz;
    if (!append_frame(frame, static_cast<std::size_t>(format_.channels), waiting_)) {
        ++damaged_;
        gap_ = true;
        return false;
    }
    if (decoded_frames_ == 0.0) gap_ = false;
    decoded_frames_ += frame.nb_samples;
    return true;
}

/// One packet on its way to the decoder. False where the decoder will not take more.
bool DecoderSource::feed_decoder() {
    if (no_more_packets_) return false;
    int got = av_read_frame(container_.get(), packet_.get());
    out_of_memory_ = out_of_memory_ || got == AVERROR(ENOMEM);
    // A container may name the same bytes again and again.
    if (got >= 0 && ++packets_ > free_packets + static_cast<std::int64_t>(bytes_.read)) {
        av_packet_unref(packet_.get());
        got = AVERROR_INVALIDDATA;
    }
    if (got < 0) {
        if (got != AVERROR_EOF) ++damaged_;
        no_more_packets_ = true;
        return avcodec_send_packet(decoder_.get(), nullptr) >= 0;
    }
    if (av_packet_get_side_data(packet_.get(), AV_PKT_DATA_ENCRYPTION_INFO, nullptr) != nullptr) {
        encrypted_ = true;
    }
    if (packet_->stream_index == track_) coded_bytes_ += packet_->size;
    if (packet_->stream_index == track_) {
        const int sent = avcodec_send_packet(decoder_.get(), packet_.get());
        out_of_memory_ = out_of_memory_ || sent == AVERROR(ENOMEM);
        if (sent < 0) {
            ++damaged_;
            gap_ = true;
        }
    }
    av_packet_unref(packet_.get());
    return true;
}

bool DecoderSource::refill() {
    waiting_.clear();
    waiting_from_ = 0;
    av_max_alloc(most_bytes_);  // the library has one limit for all clips
    while (!changed_format_ && !too_many_faults()) {
        const int got = avcodec_receive_frame(decoder_.get(), frame_.get());
        if (got >= 0) {
            const bool taken = take(*frame_);
            av_frame_unref(frame_.get());
            if (taken) return true;
        } else if (got == AVERROR(EAGAIN)) {
            if (!feed_decoder()) return false;
        } else if (got == AVERROR_EOF) {
            return false;
        } else {
            out_of_memory_ = out_of_memory_ || got == AVERROR(ENOMEM);
            ++damaged_;
            gap_ = true;
            if (no_more_packets_) return false;
        }
    }
    return false;
}

void DecoderSource::finish() {
    if (std::exchange(finished_, true)) return;
    failed_ = bytes_.stream.failed() || out_of_memory_;
    const double have = decoded_frames_ / format_.sample_rate_hz;
    if (failed_) {
        notices_.push_back(notice_text::broken_off(have));
    } else if (too_many_faults()) {
        notices_.push_back("The clip is damaged in too many places; only the first " + notice_text::seconds(have) +
                           " were used.");
    } else if (damaged_ > 0) {
        notices_.push_back("The clip is damaged: " + std::to_string(damaged_) +
                           (damaged_ == 1 ? " stretch" : " stretches") + " could not be decoded, " +
                           notice_text::seconds(have) + " were used.");
    } else if (format_.seconds && have < 0.98 * *format_.seconds - 0.2) {
        notices_.push_back(notice_text::shorter_than_promised(have, *format_.seconds));
    }
    if (jumps_ > 0) {
        notices_.push_back("Sound is missing in " + std::to_string(jumps_) + (jumps_ == 1 ? " place" : " places") +
                           " by the clip's own time stamps; nothing was analysed across it.");
    }
    if (changed_format_) {
        notices_.push_back("The sample rate or the number of channels changes after " + notice_text::seconds(have) +
                           "; only the sound before was used.");
    }
}

Piece DecoderSource::read(std::span<float> interleaved) {
    const auto channels = static_cast<std::size_t>(format_.channels);
    const std::size_t room = interleaved.size() / channels * channels;
    Piece piece;
    std::size_t done = 0;
    while (done < room) {
        if (waiting_from_ == waiting_.size() && !refill()) {
            finish();
            break;
        }
        if (gap_ && done > 0) break;
        if (std::exchange(gap_, false)) piece.gap_before = true;
        const std::size_t part = std::min(room - done, waiting_.size() - waiting_from_);
        std::copy_n(waiting_.begin() + static_cast<std::ptrdiff_t>(waiting_from_), part,
                    interleaved.begin() + static_cast<std::ptrdiff_t>(done));
        waiting_from_ += part;
        done += part;
    }
    piece.frames = done / channels;
    return piece;
}

}  // namespace

}  // namespace tattletone::sound

#ifdef __linux__
__attribute__((visibility("default")))
#endif
void tattletone_make_decoder_source(tattletone::sound::ByteStream& stream, const std::string& path,
                                    tattletone::sound::MadeSource& made) {
    made = tattletone::sound::with_memory_for(path, [&]() -> tattletone::sound::MadeSource {
        auto source = std::make_unique<tattletone::sound::DecoderSource>(std::move(stream), path);
        if (auto error = source->open()) return std::move(*error);
        return std::unique_ptr<tattletone::sound::ClipSource>(std::move(source));
    });
}
