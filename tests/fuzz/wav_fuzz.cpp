#include <algorithm>
#include <cmath>
#include <cstdint>
#include <vector>

#include "clip_checks.h"
#include "memory_file.h"
#include "sound/clip/wav_header.h"
#include "sound/clip/wav_source.h"
#include "support/names.h"

extern "C" long accepted_inputs;
long accepted_inputs = 0;

// Whatever the bytes: a header that holds for the file, the decoder's business, or an error with all its parts; and as
// many samples as the header said.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace tattletone;
    const MemoryFile file(data, size);
    auto stream = ByteStream::open(file.path());
    if (!stream) {
        check_error(stream.error(), file.path());
        return 0;
    }
    const auto header = read_wav_header(*stream, file.path());
    if (!header) {
        check_error(header.error(), file.path());
        return 0;
    }
    if (!*header) {
        if (stream->position() != 0) std::abort();
        return 0;
    }
    const WavHeader& h = **header;
    if (h.channels < 1 || h.channels > 65535 || !(h.sample_rate_hz >= 1.0) || h.frame_bytes() == 0) std::abort();
    if (!h.data_bytes || h.data_offset > size || *h.data_bytes > size - h.data_offset) std::abort();
    if (h.promised_bytes && *h.promised_bytes <= *h.data_bytes) std::abort();
    const std::uint64_t frames = *h.data_bytes / h.frame_bytes();
    const auto channels = static_cast<std::size_t>(h.channels);
    auto source = make_wav_source(std::move(*stream), h);
    if (!source->format().seconds || !std::isfinite(*source->format().seconds)) std::abort();
    std::vector<float> samples(channels * std::max<std::size_t>(1, 2048 / channels));
    std::uint64_t read = 0;
    for (std::size_t got = 1; got != 0; read += got) got = source->read(samples).frames;
    if (read != frames) std::abort();
    accepted_inputs += read > 0;
    return 0;
}
