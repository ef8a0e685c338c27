#include "sound/decoder/decoder_samples.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <cstring>

extern "C" {
#include <libavutil/frame.h>
}

#include "sound/clip/sane_samples.h"

namespace tattletone::sound {
namespace {

template <class Stored>
void spread(const std::uint8_t* from, std::size_t stride_in, std::size_t frames, float scale, float bias, float* to,
            std::size_t stride_out) {
    for (std::size_t i = 0; i < frames; ++i) {
        Stored value;
        std::memcpy(&value, from + i * stride_in * sizeof(Stored), sizeof(Stored));
        to[i * stride_out] = (static_cast<float>(value) - bias) * scale;
    }
}

}  // namespace

bool append_frame(const AVFrame& frame, std::size_t channels, std::vector<float>& out) {
    const auto format = static_cast<AVSampleFormat>(frame.format);
    const bool planar = av_sample_fmt_is_planar(format) != 0;
    const auto frames = static_cast<std::size_t>(frame.nb_samples);
    const auto width = static_cast<std::size_t>(av_get_bytes_per_sample(format));
    const std::size_t start = out.size();
    out.resize(start + frames * channels);
    for (std::size_t c = 0; c < channels; ++c) {
        const std::uint8_t* from = planar ? frame.extended_data[c] : frame.extended_data[0] + c * width;
        const std::size_t stride = planar ? 1 : channels;
        float* to = out.data() + start + c;
        switch (av_get_packed_sample_fmt(format)) {
            case AV_SAMPLE_FMT_U8:
                spread<std::uint8_t>(from, stride, frames, 1.0f / 128.0f, 128.0f, to, channels);
                break;
            case AV_SAMPLE_FMT_S16:
                spread<std::int16_t>(from, stride, frames, 1.0f / 32768.0f, 0.0f, to, channels);
                break;
            case AV_SAMPLE_FMT_S32:
                spread<std::int32_t>(from, stride, frames, 1.0f / 2147483648.0f, 0.0f, to, channels);
                break;
            case AV_SAMPLE_FMT_S64:
                spread<std::int64_t>(from, stride, frames, 1.0f / 9223372036854775808.0f, 0.0f, to, channels);
                break;
            case AV_SAMPLE_FMT_FLT:
                spread<float>(from, stride, frames, 1.0f, 0.0f, to, channels);
                break;
            case AV_SAMPLE_FMT_DBL:
                spread<double>(from, stride, frames, 1.0f, 0.0f, to, channels);
                break;
            default:
                return false;
        }
    }
    // A decoder fed with damaged bits may answer with monsters; sound exceeds full scale by little.
    const auto sane = [](float sample) { return std::abs(sample) <= loudest_sample; };  // not so for NaN
    if (std::all_of(out.begin() + static_cast<std::ptrdiff_t>(start), out.end(), sane)) return true;
    out.resize(start);
    return false;
}

}  // namespace tattletone::sound
