#include <algorithm>
#include <cmath>
#include <cstdint>
#include <vector>

#include "clip_checks.h"
#include "memory_file.h"
#include "sound/clip/clip_errors.h"
#include "sound/clip/clip_limits.h"
#include "sound/clip/clip_reader.h"
#include "sound/decoder/decoder_source.h"
#include "support/names.h"

// In this program the decoder is linked in, so that its branches steer the search.
tattletone::MadeSource tattletone::make_decoder_source(ByteStream stream, const std::string& path) {
    MadeSource made = clip_errors::no_decoder(path);
    tattletone_make_decoder_source(stream, path, made);
    return made;
}

extern "C" long accepted_inputs;
long accepted_inputs = 0;

// Whatever the bytes: sound within the limits, or an error with all its parts.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace tattletone;
    constexpr std::size_t enough = 1 << 22;  // of samples: a few bytes may be hours of silence
    const MemoryFile file(data, size);
    auto clip = ClipReader::open(file.path());
    if (!clip) {
        check_error(clip.error(), file.path());
        return 0;
    }
    const ClipInfo& info = clip->info();
    if (!(info.sample_rate_hz >= clip_limits::lowest_rate_hz && info.sample_rate_hz <= clip_limits::highest_rate_hz) ||
        info.channels < 1 || info.channels > clip_limits::most_channels || info.codec.empty())
        std::abort();
    if (info.seconds && !(std::isfinite(*info.seconds) && *info.seconds > 0.0)) std::abort();
    std::vector<float> samples(16384);
    std::size_t total = 0;
    while (total < enough) {
        const auto got = clip->read(samples);
        if (!got) {
            check_error(got.error(), file.path());
            return 0;
        }
        if (*got == 0) break;
        for (std::size_t i = 0; i < *got; ++i)
            if (!(std::abs(samples[i]) <= 8.0f) || std::fpclassify(samples[i]) == FP_SUBNORMAL) std::abort();
        total += *got;
    }
    const auto& gaps = clip->gaps();
    if (gaps.size() > 2 * clip_limits::most_faults || !std::is_sorted(gaps.begin(), gaps.end()) ||
        (!gaps.empty() && gaps.back() > total))
        std::abort();
    for (const std::string& notice : clip->notices())
        if (notice.empty() || notice.back() != '.') std::abort();
    accepted_inputs += total > 0;
    return 0;
}
