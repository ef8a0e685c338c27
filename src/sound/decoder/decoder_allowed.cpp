#include "sound/decoder/decoder_allowed.h"

#include <algorithm>
#include <iterator>

extern "C" {
#include <libavcodec/avcodec.h>
#include <libavformat/avformat.h>
#include <libavutil/opt.h>
}

namespace tattletone::sound::decoder_allowed {
namespace {

// Phones (mov with its family, ogg, matroska, amr, aac), pocket recorders (wav and its relatives, flac,
// mp3, asf, dss, dsf), cameras (avi, mpeg, mpegts), what is exported (aiff, au, caf). None is a list
// of other files: concat, hls, dash, sdp, imf and image sequences are not here, and must not come.
constexpr const char* containers =
    "mov,ogg,matroska,webm,amr,aac,wav,w64,flac,mp3,asf,dss,dsf,avi,mpeg,mpegts,aiff,au,caf";

constexpr AVCodecID codecs[] = {AV_CODEC_ID_PCM_U8,
                                AV_CODEC_ID_PCM_S8,
                                AV_CODEC_ID_PCM_S16LE,
                                AV_CODEC_ID_PCM_S16BE,
                                AV_CODEC_ID_PCM_S24LE,
                                AV_CODEC_ID_PCM_S24BE,
                                AV_CODEC_ID_PCM_S32LE,
                                AV_CODEC_ID_PCM_S32BE,
                                AV_CODEC_ID_PCM_F32LE,
                                AV_CODEC_ID_PCM_F32BE,
                                AV_CODEC_ID_PCM_F64LE,
                                AV_CODEC_ID_PCM_F64BE,
                                AV_CODEC_ID_PCM_ALAW,
                                AV_CODEC_ID_PCM_MULAW,
                                AV_CODEC_ID_PCM_DVD,
                                AV_CODEC_ID_PCM_BLURAY,
                                AV_CODEC_ID_ADPCM_IMA_WAV,
                                AV_CODEC_ID_ADPCM_MS,
                                AV_CODEC_ID_ADPCM_IMA_QT,
                                AV_CODEC_ID_ADPCM_G722,
                                AV_CODEC_ID_ADPCM_G726,
                                AV_CODEC_ID_AMR_NB,
                                AV_CODEC_ID_AMR_WB,
                                AV_CODEC_ID_AAC,
                                AV_CODEC_ID_AAC_LATM,
                                AV_CODEC_ID_ALAC,
                                AV_CODEC_ID_FLAC,
                                AV_CODEC_ID_MP1,
                                AV_CODEC_ID_MP2,
                                AV_CODEC_ID_MP3,
                                AV_CODEC_ID_VORBIS,
                                AV_CODEC_ID_OPUS,
                                AV_CODEC_ID_SPEEX,
                                AV_CODEC_ID_AC3,
                                AV_CODEC_ID_EAC3,
                                AV_CODEC_ID_WMAV1,
                                AV_CODEC_ID_WMAV2,
                                AV_CODEC_ID_WMAVOICE,
                                AV_CODEC_ID_WMAPRO,
                                AV_CODEC_ID_WMALOSSLESS,
                                AV_CODEC_ID_GSM,
                                AV_CODEC_ID_GSM_MS,
                                AV_CODEC_ID_DSS_SP,
                                AV_CODEC_ID_G723_1,
                                AV_CODEC_ID_TRUESPEECH,
                                AV_CODEC_ID_DSD_LSBF,
                                AV_CODEC_ID_DSD_MSBF,
                                AV_CODEC_ID_DSD_LSBF_PLANAR,
                                AV_CODEC_ID_DSD_MSBF_PLANAR};

// Libraries' own usual numbers, said here because the time that a hostile file costs hangs on them.
constexpr int most_tracks = 16;
constexpr std::int64_t probed_bytes = 5'000'000;
constexpr std::int64_t analysed_microseconds = 5'000'000;
constexpr std::int64_t index_bytes = 1 << 20;

}  // namespace

std::size_t most_bytes(std::optional<std::uint64_t> clip_bytes) {
    constexpr std::uint64_t most = 100'000'000, free = 8'000'000, each = 8;
    if (!clip_bytes || *clip_bytes > most) return most;
    return static_cast<std::size_t>(std::min(most, free + each * *clip_bytes));
}

bool codec(int codec_id) {
    return std::find(std::begin(codecs), std::end(codecs), codec_id) != std::end(codecs);
}

const std::string& decoder_names() {
    static const std::string names = [] {
        std::string list;
        for (const AVCodecID id : codecs)
            if (const AVCodec* decoder = avcodec_find_decoder(id))
                list += (list.empty() ? "" : ",") + std::string(decoder->name);
        return list;
    }();
    return names;
}

bool restrict_container(AVFormatContext& container) {
    const auto text = [&](const char* name, const char* value) { return av_opt_set(&container, name, value, 0) >= 0; };
    const auto number = [&](const char* name, std::int64_t value) {
        return av_opt_set_int(&container, name, value, 0) >= 0;
    };
    return text("format_whitelist", containers) && text("codec_whitelist", decoder_names().c_str()) &&
           text("protocol_whitelist", "") && number("probesize", probed_bytes) &&
           number("analyzeduration", analysed_microseconds) && number("max_streams", most_tracks) &&
           number("indexmem", index_bytes);
}

}  // namespace tattletone::sound::decoder_allowed
