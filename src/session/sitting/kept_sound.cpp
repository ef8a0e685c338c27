#include "session/sitting/kept_sound.h"

#include <filesystem>
#include <utility>

#include "base/files/paths.h"

namespace tattletone::session {
namespace {

constexpr double shortest_kept_seconds = 0.5;

std::string numbered(const std::string& path, std::size_t number) {
    if (number == 1) return path;
    const std::size_t dot = path.rfind('.');  // there is one: the ending told the format
    return path.substr(0, dot) + '-' + std::to_string(number) + path.substr(dot);
}

constexpr std::size_t highest_number = 100000;
constexpr std::uintmax_t least_rescued_bytes = 8192;  // headers and hardly any sound

// A killed listener left the file that it was making: its first, or the one behind those that stand there.
std::vector<std::string> rescue(const base::OutputFile& place) {
    std::vector<std::string> rescued;
    for (std::size_t number = 1; number < highest_number; ++number) {
        base::OutputFile piece = place;
        piece.path = numbered(place.path, number);
        for (std::string& path : base::FileInMaking::rescue_left_overs(piece, least_rescued_bytes, [&](int other) {
                 return numbered(place.path, static_cast<std::size_t>(other) + 1);
             }))
            rescued.push_back(std::move(path));
        std::error_code problem;
        if (number > 1 && !std::filesystem::exists(base::path_of(piece.path), problem)) break;
    }
    return rescued;
}

}  // namespace

KeptSound::KeptSound(base::OutputFile place, double sample_rate_hz, sound::ClipFormat format, sound::ClipWriter writer)
    : place_(std::move(place)), sample_rate_hz_(sample_rate_hz), format_(format), writer_(std::move(writer)) {}

Result<KeptSound> KeptSound::create(const base::OutputFile& place, double sample_rate_hz) {
    const auto format = sound::clip_format_for(place.path);
    if (!format) return format.error();
    auto writer = sound::ClipWriter::create(place, sample_rate_hz, *format);
    if (!writer) return writer.error();
    KeptSound kept(place, sample_rate_hz, *format, std::move(*writer));
    kept.files_.rescued = rescue(place);
    return kept;
}

std::string KeptSound::next_free_path() {
    base::OutputFile place = place_;
    do {
        place.path = numbered(place_.path, ++number_);
    } while (number_ < highest_number && base::judge(place));
    return place.path;
}

void KeptSound::end_piece() {
    if (writer_ && static_cast<double>(frames_) >= shortest_kept_seconds * sample_rate_hz_) {
        auto placed = writer_->finish_what_fitted([this](int) { return next_free_path(); });
        if (placed) {
            files_.written.push_back(std::move(*placed));
            last_number_ = number_;
        } else if (!files_.error) {
            files_.error = placed.error();
        }
    }
    writer_.reset();
    frames_ = 0;
}

void KeptSound::add(std::span<const float> samples, bool gap_before) {
    if (files_.error || samples.empty()) return;
    if (gap_before && frames_ > 0) end_piece();
    if (!writer_ && !files_.error) {
        base::OutputFile place = place_;
        number_ = last_number_;  // a piece that was too short left its place to this one
        place.path = next_free_path();
        auto writer = sound::ClipWriter::create(place, sample_rate_hz_, format_);
        if (!writer) {
            files_.error = writer.error();
            return;
        }
        writer_ = std::move(*writer);
    }
    if (files_.error) return;
    files_.error = writer_->write(samples);
    if (files_.error)
        end_piece();
    else
        frames_ += samples.size();
}

KeptFiles KeptSound::finish() {
    end_piece();
    if (!files_.error && files_.written.empty())
        files_.error =
            Error{place_.path, "less than half a second was heard, so nothing was kept", "Listen for longer"};
    return std::move(files_);
}

}  // namespace tattletone::session
