#include "sound/decoder/decoder_samples.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <cstring>
#include <type_traits>

extern "C" {
#include <libavutil/frame.h>
}

#include "sound/clip/sane_samples.h"

namespace tattletone::sound {
namespace {

/// The frames of one channel as floats of full scale 1.
template <class Stored>
void spread(const std::uint8_t* from, std::size_t stride_in, std::size_t frames, float* to, std::size_t stride_out) {
    constexpr bool whole = std::is_integral_v<Stored>;
    constexpr float half_range = whole ? static_cast<float>(std::uint64_t{1} << (8 * sizeof(Stored) - 1)) : 1.0f;
    constexpr float bias = whole && std::is_unsigned_v<Stored> ? half_range : 0.0f;
    for (std::size_t i = 0; i < frames; ++i) {
        Stored value;
        std::memcpy(&value, from + i * stride_in * sizeof(Stored), sizeof(Stored));
        to[i * stride_out] = (static_cast<float>(value) - bias) * (1.0f / half_range);
    }
}

/// What reads samples of the packed format, or null where nothing does.
decltype(&spread<float>) reader_of(AVSampleFormat packed) {
    if (packed == AV_SAMPLE_FMT_U8) return spread<std::uint8_t>;
    if (packed == AV_SAMPLE_FMT_S16) return spread<std::int16_t>;
    if (packed == AV_SAMPLE_FMT_S32) return spread<std::int32_t>;
    if (packed == AV_SAMPLE_FMT_S64) return spread<std::int64_t>;
    if (packed == AV_SAMPLE_FMT_FLT) return spread<float>;
    return packed == AV_SAMPLE_FMT_DBL ? spread<double> : nullptr;
}

}  // namespace

bool append_frame(const AVFrame& frame, std::size_t channels, std::vector<float>& out) {
    const auto format = static_cast<AVSampleFormat>(frame.format);
    const bool planar = av_sample_fmt_is_planar(format) != 0;
    const auto read = reader_of(av_get_packed_sample_fmt(format));
    if (!read) return false;
    const auto frames = static_cast<std::size_t>(frame.nb_samples);
    const auto width = static_cast<std::size_t>(av_get_bytes_per_sample(format));
    const std::size_t start = out.size();
    out.resize(start + frames * channels);
    for (std::size_t c = 0; c < channels; ++c) {
        const std::uint8_t* from = planar ? frame.extended_data[c] : frame.extended_data[0] + c * width;
        const std::size_t stride = planar ? 1 : channels;
        float* to = out.data() + start + c;
        read(from, stride, frames, to, channels);
    }
    // A decoder fed with damaged bits may answer with monsters; sound exceeds full scale by little.
    const auto sane = [](float sample) { return std::abs(sample) <= loudest_sample; };  // not so for NaN
    if (std::all_of(out.begin() + static_cast<std::ptrdiff_t>(start), out.end(), sane)) return true;
    out.resize(start);
    return false;
}

}  // namespace tattletone::sound
