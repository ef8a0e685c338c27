#include "sound/clip/clip_writer.h"

#include <sndfile.h>

#include <algorithm>
#include <cerrno>
#include <cmath>
#include <cstdint>
#include <cstdio>
#include <utility>
#include <vector>

#include "base/files/paths.h"
#include "base/files/system_output.h"
#include "base/text/lower_case.h"

namespace tattletone::sound {
namespace {

int libsndfile_format(ClipFormat format) {
    switch (format) {
        case ClipFormat::flac_16:
            return SF_FORMAT_FLAC | SF_FORMAT_PCM_16;
        case ClipFormat::flac_24:
            return SF_FORMAT_FLAC | SF_FORMAT_PCM_24;
        case ClipFormat::wav_16:
            return SF_FORMAT_WAV | SF_FORMAT_PCM_16;
        case ClipFormat::wav_24:
            return SF_FORMAT_WAV | SF_FORMAT_PCM_24;
        case ClipFormat::wav_float:
            break;
    }
    return SF_FORMAT_WAV | SF_FORMAT_FLOAT;
}

#if defined(_WIN32)
std::int64_t position(std::FILE* file) {
    return _ftelli64(file);
}
bool seek(std::FILE* file, std::int64_t offset, int whence) {
    return _fseeki64(file, offset, whence) == 0;
}
#else
std::int64_t position(std::FILE* file) {
    return ::ftello(file);
}
bool seek(std::FILE* file, std::int64_t offset, int whence) {
    return ::fseeko(file, static_cast< ::off_t>(offset), whence) == 0;
}
#endif

/// The library's window on our file: we see why a write failed, and paths are any the system has. What the library
/// hands over at once is a whole frame of flac or samples: where one does not fit, the file ends before it and is
/// whole.
struct Stream {
    std::FILE* file = nullptr;
    std::int64_t whole_bytes = 0;
    int first_error = 0;
};

std::FILE* file_of(void* user) {
    return static_cast<Stream*>(user)->file;
}

sf_count_t stream_tell(void* user) {
    return static_cast<sf_count_t>(position(file_of(user)));
}

sf_count_t stream_seek(sf_count_t offset, int whence, void* user) {
    return seek(file_of(user), offset, whence) ? stream_tell(user) : -1;
}

sf_count_t stream_length(void* user) {
    auto* const file = file_of(user);
    const auto here = position(file);
    if (!seek(file, 0, SEEK_END)) return -1;
    const auto length = position(file);
    return seek(file, here, SEEK_SET) ? static_cast<sf_count_t>(length) : -1;
}

// A file that is written and read in turn needs a seek in between (C11 7.21.5.3).
sf_count_t stream_read(void* to, sf_count_t bytes, void* user) {
    auto* const file = file_of(user);
    if (!seek(file, 0, SEEK_CUR)) return 0;
    const auto count = std::fread(to, 1, static_cast<std::size_t>(bytes), file);
    return seek(file, 0, SEEK_CUR) ? static_cast<sf_count_t>(count) : 0;
}

sf_count_t stream_write(const void* from, sf_count_t bytes, void* user) {
    auto& stream = *static_cast<Stream*>(user);
    const std::int64_t end = position(stream.file) + bytes;
    if (stream.first_error != 0 && end > stream.whole_bytes) return 0;  // only the header is still mended
    errno = 0;
    const bool whole =
        std::fwrite(from, 1, static_cast<std::size_t>(bytes), stream.file) == static_cast<std::size_t>(bytes) &&
        std::fflush(stream.file) == 0;
    if (whole) {
        stream.whole_bytes = std::max(stream.whole_bytes, end);
        return bytes;
    }
    if (stream.first_error == 0) stream.first_error = errno != 0 ? errno : EIO;
    std::clearerr(stream.file);
    if (base::cut_to(stream.file, stream.whole_bytes)) seek(stream.file, 0, SEEK_END);
    return 0;
}

std::int32_t to_integer(float sample, int bits) {
    const double scale = std::ldexp(1.0, bits - 1);
    const double value = std::isfinite(sample) ? std::nearbyint(sample * scale) : 0.0;
    const auto whole = static_cast<std::int64_t>(std::clamp(value, -scale, scale - 1.0));
    return static_cast<std::int32_t>(whole * (std::int64_t{1} << (32 - bits)));
}

}  // namespace

struct ClipWriter::State {
    std::string path;
    std::optional<base::FileInMaking> file;
    Stream stream;
    SNDFILE* clip = nullptr;
    ClipFormat format = ClipFormat::flac_24;
    std::vector<std::int32_t> integers;

    ~State() { drop(); }

    void drop() {
        if (clip != nullptr) sf_close(std::exchange(clip, nullptr));
        file.reset();
    }

    Error fail() {
        drop();
        return base::cannot_write(path, stream.first_error);
    }
};

ClipWriter::ClipWriter(std::unique_ptr<State> state) : state_(std::move(state)) {}
ClipWriter::~ClipWriter() = default;
ClipWriter::ClipWriter(ClipWriter&&) noexcept = default;
ClipWriter& ClipWriter::operator=(ClipWriter&&) noexcept = default;

Result<ClipFormat> clip_format_for(const std::string& path) {
    const std::string ending = base::lower_case(base::utf8_of(base::path_of(path).extension()));
    if (ending == ".flac") return ClipFormat::flac_24;
    if (ending == ".wav") return ClipFormat::wav_float;
    return Error{path, "sound is kept as flac or wav only", "Give a name that ends in .flac or .wav"};
}

Result<ClipWriter> ClipWriter::create(const base::OutputFile& place, double sample_rate_hz, ClipFormat format) {
    auto state = std::make_unique<State>();
    state->path = place.path;
    state->format = format;
    SF_INFO info{};
    info.channels = 1;
    info.samplerate = static_cast<int>(std::lround(sample_rate_hz));
    info.format = libsndfile_format(format);
    const Error unfit{place.path, "this sample rate cannot be kept in this format", "Give a name that ends in .wav"};
    if (info.samplerate <= 0 || sf_format_check(&info) == 0) return unfit;
    auto file = base::FileInMaking::begin(place);
    if (!file) return file.error();
    state->file = std::move(*file);
    static SF_VIRTUAL_IO io{stream_length, stream_seek, stream_read, stream_write, stream_tell};
    state->stream.file = state->file->stream();
    state->clip = sf_open_virtual(&io, SFM_WRITE, &info, &state->stream);
    if (state->clip == nullptr) return state->stream.first_error != 0 ? state->fail() : unfit;
    return ClipWriter(std::move(state));
}

std::optional<Error> ClipWriter::write(std::span<const float> samples) {
    State& state = *state_;
    if (state.clip == nullptr) return state.fail();
    const auto count = static_cast<sf_count_t>(samples.size());
    if (state.format == ClipFormat::wav_float) {
        sf_write_float(state.clip, samples.data(), count);
    } else {
        const bool narrow = state.format == ClipFormat::flac_16 || state.format == ClipFormat::wav_16;
        state.integers.resize(samples.size());
        std::transform(samples.begin(), samples.end(), state.integers.begin(),
                       [&](float sample) { return to_integer(sample, narrow ? 16 : 24); });
        sf_write_int(state.clip, state.integers.data(), count);
    }
    if (state.stream.first_error == 0) return std::nullopt;
    return base::cannot_write(state.path, state.stream.first_error, ", and nothing more is kept");
}

Result<std::string> ClipWriter::finish(const std::function<std::string(int)>& other_place) {
    return close(other_place, false);
}

Result<std::string> ClipWriter::finish_what_fitted(const std::function<std::string(int)>& other_place) {
    return close(other_place, true);
}

Result<std::string> ClipWriter::close(const std::function<std::string(int)>& other_place, bool in_part) {
    State& state = *state_;
    if (state.clip == nullptr) return state.fail();
    sf_close(std::exchange(state.clip, nullptr));
    if (state.stream.first_error != 0 && !in_part) return state.fail();
    auto placed = state.file->put_in_place(other_place);
    state.drop();
    return placed;
}

std::optional<Error> write_clip(const base::OutputFile& place, const Recording& recording, ClipFormat format) {
    auto writer = ClipWriter::create(place, recording.sample_rate_hz, format);
    if (!writer) return writer.error();
    (void)writer->write(recording.samples);  // where it failed, `finish` says so
    const auto placed = writer->finish();
    if (!placed) return placed.error();
    return std::nullopt;
}

std::optional<Error> write_clip(const std::string& path, const Recording& recording, ClipFormat format) {
    base::OutputFile place{base::OutputKind::own_file, path};
    place.overwrite = true;
    return write_clip(place, recording, format);
}

}  // namespace tattletone::sound
