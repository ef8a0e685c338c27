#include "sound/clip_writer.h"

#include <sndfile.h>

#include <algorithm>
#include <cerrno>
#include <cmath>
#include <cstdint>
#include <filesystem>
#include <fstream>
#include <random>
#include <utility>
#include <vector>

namespace tattletone {
namespace {

namespace fs = std::filesystem;

fs::path from_utf8(const std::string& path) {
    return fs::path(std::u8string(path.begin(), path.end()));
}

Error cannot_write(const std::string& path, int error_number) {
    switch (error_number) {
        case ENOENT:
        case ENOTDIR:
            return {path, "its folder does not exist", "Make the folder, or give another place"};
        case EACCES:
        case EPERM:
            return {path, "no permission to write there", "Give a folder of your own"};
        case EROFS:
            return {path, "the disk can only be read", "Give a folder on another disk"};
        case ENOSPC:
#ifdef EDQUOT
        case EDQUOT:
#endif
            return {path, "the disk is full, nothing was kept",
                    "Free some space, or give another disk"};
        case EFBIG:
            return {path, "the file would be larger than allowed there, nothing was kept",
                    "Record a shorter piece, or give another disk"};
        default:
            return {path, "it cannot be written, nothing was kept",
                    "Check the disk, or give another place"};
    }
}

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

/// The library's window on our file: we see why a write failed, and paths are any the system has.
sf_count_t stream_length(void* user) {
    auto& file = *static_cast<std::fstream*>(user);
    const auto here = file.tellp();
    file.seekp(0, std::ios::end);
    const auto length = file.tellp();
    file.seekp(here);
    return static_cast<sf_count_t>(length);
}

sf_count_t stream_seek(sf_count_t offset, int whence, void* user) {
    auto& file = *static_cast<std::fstream*>(user);
    file.seekp(offset, whence == SEEK_SET   ? std::ios::beg
                       : whence == SEEK_CUR ? std::ios::cur
                                            : std::ios::end);
    return static_cast<sf_count_t>(file.tellp());
}

sf_count_t stream_read(void* to, sf_count_t bytes, void* user) {
    auto& file = *static_cast<std::fstream*>(user);
    file.read(static_cast<char*>(to), bytes);
    return static_cast<sf_count_t>(file.gcount());
}

sf_count_t stream_write(const void* from, sf_count_t bytes, void* user) {
    auto& file = *static_cast<std::fstream*>(user);
    return file.write(static_cast<const char*>(from), bytes) ? bytes : 0;
}

sf_count_t stream_tell(void* user) {
    return static_cast<sf_count_t>(static_cast<std::fstream*>(user)->tellp());
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
    fs::path final_path, part_path;
    std::fstream file;
    SNDFILE* clip = nullptr;
    ClipFormat format = ClipFormat::flac_24;
    std::vector<std::int32_t> integers;
    int first_error = 0;

    ~State() { drop(); }

    void drop() {
        if (clip != nullptr) sf_close(std::exchange(clip, nullptr));
        if (file.is_open()) file.close();
        std::error_code ignored;
        if (!part_path.empty()) fs::remove(std::exchange(part_path, {}), ignored);
    }

    Error fail() {
        const int why = first_error != 0 ? first_error : errno;
        drop();
        return cannot_write(path, why);
    }
};

ClipWriter::ClipWriter(std::unique_ptr<State> state) : state_(std::move(state)) {}
ClipWriter::~ClipWriter() = default;
ClipWriter::ClipWriter(ClipWriter&&) noexcept = default;
ClipWriter& ClipWriter::operator=(ClipWriter&&) noexcept = default;

Result<ClipFormat> clip_format_for(const std::string& path) {
    std::string ending = from_utf8(path).extension().string();
    for (char& c : ending) c = static_cast<char>(c >= 'A' && c <= 'Z' ? c - 'A' + 'a' : c);
    if (ending == ".flac") return ClipFormat::flac_24;
    if (ending == ".wav") return ClipFormat::wav_float;
    return Error{path, "sound is kept as flac or wav only",
                 "Give a name that ends in .flac or .wav"};
}

Result<ClipWriter> ClipWriter::create(const std::string& path, double sample_rate_hz,
                                      ClipFormat format) {
    auto state = std::make_unique<State>();
    state->path = path;
    state->final_path = from_utf8(path);
    state->format = format;
    std::error_code status;
    if (fs::is_directory(state->final_path, status)) {
        return Error{path, "a folder of this name stands there", "Give the name of a file"};
    }
    SF_INFO info{};
    info.channels = 1;
    info.samplerate = static_cast<int>(std::lround(sample_rate_hz));
    info.format = libsndfile_format(format);
    if (info.samplerate <= 0 || sf_format_check(&info) == 0) {
        return Error{path, "this sample rate cannot be kept in this format",
                     "Give a name that ends in .wav"};
    }
    fs::path part = state->final_path;
    part += ".part-" + std::to_string(std::random_device{}());
    errno = 0;
    state->file.open(part, std::ios::in | std::ios::out | std::ios::trunc | std::ios::binary);
    if (!state->file) return cannot_write(path, errno);
    state->part_path = part;
    static SF_VIRTUAL_IO io{stream_length, stream_seek, stream_read, stream_write, stream_tell};
    state->clip = sf_open_virtual(&io, SFM_WRITE, &info, &state->file);
    if (state->clip == nullptr) {
        if (state->file.fail()) return state->fail();
        return Error{path, "this sample rate cannot be kept in this format",
                     "Give a name that ends in .wav"};
    }
    return ClipWriter(std::move(state));
}

std::optional<Error> ClipWriter::write(std::span<const float> samples) {
    State& state = *state_;
    if (state.clip == nullptr) return state.fail();
    const auto count = static_cast<sf_count_t>(samples.size());
    errno = 0;
    sf_count_t written = 0;
    if (state.format == ClipFormat::wav_float) {
        written = sf_write_float(state.clip, samples.data(), count);
    } else {
        const bool narrow =
            state.format == ClipFormat::flac_16 || state.format == ClipFormat::wav_16;
        state.integers.resize(samples.size());
        std::transform(samples.begin(), samples.end(), state.integers.begin(),
                       [&](float sample) { return to_integer(sample, narrow ? 16 : 24); });
        written = sf_write_int(state.clip, state.integers.data(), count);
    }
    if (written == count && state.file.good()) return std::nullopt;
    state.first_error = errno;
    return state.fail();
}

std::optional<Error> ClipWriter::finish() {
    State& state = *state_;
    if (state.clip == nullptr) return state.fail();
    errno = 0;
    sf_close(std::exchange(state.clip, nullptr));
    state.file.flush();
    const bool whole = state.file.good();
    if (!whole) state.first_error = errno;
    state.file.close();
    if (!whole || state.file.fail()) return state.fail();
    std::error_code status;
    fs::rename(state.part_path, state.final_path, status);
    if (status) {
        state.first_error = status.value();
        return state.fail();
    }
    state.part_path.clear();
    return std::nullopt;
}

std::optional<Error> write_clip(const std::string& path, const Recording& recording,
                                ClipFormat format) {
    auto writer = ClipWriter::create(path, recording.sample_rate_hz, format);
    if (!writer) return writer.error();
    if (auto error = writer->write(recording.samples)) return error;
    return writer->finish();
}

}  // namespace tattletone
