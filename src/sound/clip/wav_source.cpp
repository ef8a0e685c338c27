#include "sound/clip/wav_source.h"

#include <algorithm>
#include <bit>
#include <cstring>
#include <utility>

#include "sound/clip/notice_text.h"

namespace tattletone::sound {
namespace {

static_assert(std::endian::native == std::endian::little, "samples are copied as they stand in the file");

template <class Stored>
Stored at(const unsigned char* bytes, std::size_t index) {
    Stored value;
    std::memcpy(&value, bytes + index * sizeof(Stored), sizeof(Stored));
    return value;
}

template <class Stored>
void convert_whole(const unsigned char* from, std::size_t count, float* to) {
    constexpr float half_range = static_cast<float>(std::uint64_t{1} << (8 * sizeof(Stored) - 1));
    for (std::size_t i = 0; i < count; ++i) to[i] = static_cast<float>(at<Stored>(from, i)) * (1.0f / half_range);
}

void convert(SampleKind kind, const unsigned char* from, std::size_t count, float* to) {
    switch (kind) {
        case SampleKind::u8:
            for (std::size_t i = 0; i < count; ++i) {
                to[i] = static_cast<float>(static_cast<int>(from[i]) - 128) * (1.0f / 128.0f);
            }
            break;
        case SampleKind::s16:
            convert_whole<std::int16_t>(from, count, to);
            break;
        case SampleKind::s24:
            for (std::size_t i = 0; i < count; ++i) {
                const unsigned char* b = from + 3 * i;
                const auto word = static_cast<std::uint32_t>(b[0]) << 8 | static_cast<std::uint32_t>(b[1]) << 16 |
                                  static_cast<std::uint32_t>(b[2]) << 24;
                to[i] = static_cast<float>(static_cast<std::int32_t>(word)) * (1.0f / 2147483648.0f);
            }
            break;
        case SampleKind::s32:
            convert_whole<std::int32_t>(from, count, to);
            break;
        case SampleKind::f32:
            std::memcpy(to, from, count * sizeof(float));
            break;
        case SampleKind::f64:
            for (std::size_t i = 0; i < count; ++i) to[i] = static_cast<float>(at<double>(from, i));
            break;
    }
}

class WavSource final : public ClipSource {
  public:
    WavSource(ByteStream stream, const WavHeader& header)
        : stream_(std::move(stream)), header_(header), left_(header.data_bytes) {
        static constexpr const char* names[] = {"pcm_u8",    "pcm_s16le", "pcm_s24le",
                                                "pcm_s32le", "pcm_f32le", "pcm_f64le"};
        format_.sample_rate_hz = header.sample_rate_hz;
        format_.channels = header.channels;
        format_.codec = names[static_cast<int>(header.kind)];
        if (left_) format_.seconds = seconds_of(*left_);
        if (header.length_unknown && left_) {
            notices_.push_back(
                "The header does not say how long the clip is (the recorder was cut off); "
                "it was read to the end of the file: " +
                notice_text::seconds(*format_.seconds) + ".");
        }
        if (header.promised_bytes) {
            notices_.push_back(
                notice_text::shorter_than_promised(*format_.seconds, seconds_of(*header.promised_bytes)));
        }
    }

    Piece read(std::span<float> interleaved) override {
        const std::size_t frame = header_.frame_bytes();
        const auto channels = static_cast<std::size_t>(header_.channels);
        std::size_t frames = interleaved.size() / channels;
        if (left_) frames = static_cast<std::size_t>(std::min<std::uint64_t>(frames, *left_ / frame));
        std::size_t done = 0;
        while (done < frames) {
            const std::size_t ask = std::min(frames - done, std::max<std::size_t>(1, block_bytes / frame));
            bytes_.resize(std::max(bytes_.size(), ask * frame));
            const std::size_t got = stream_.read(bytes_.data(), ask * frame) / frame;
            convert(header_.kind, bytes_.data(), got * channels, interleaved.data() + done * channels);
            done += got;
            if (got < ask) {
                end_early(done);
                break;
            }
        }
        frames_read_ += done;
        if (left_) *left_ -= std::min<std::uint64_t>(*left_, done * frame);
        return {done, false};
    }

  private:
    static constexpr std::size_t block_bytes = 1 << 18;

    double seconds_of(std::uint64_t bytes) const {
        return static_cast<double>(bytes / header_.frame_bytes()) / header_.sample_rate_hz;
    }

    void end_early(std::size_t done) {
        failed_ = stream_.failed();
        const double have = static_cast<double>(frames_read_ + done) / header_.sample_rate_hz;
        if (failed_) {
            notices_.push_back(notice_text::broken_off(have));
        } else if (left_ && !std::exchange(told_early_, true)) {
            notices_.push_back(notice_text::shorter_than_promised(have, *format_.seconds));
        }
        left_ = 0;
    }

    ByteStream stream_;
    WavHeader header_;
    std::optional<std::uint64_t> left_;
    std::uint64_t frames_read_ = 0;
    std::vector<unsigned char> bytes_;
    bool told_early_ = false;
};

}  // namespace

std::unique_ptr<ClipSource> make_wav_source(ByteStream stream, const WavHeader& header) {
    return std::make_unique<WavSource>(std::move(stream), header);
}

}  // namespace tattletone::sound
