#include "session/kept_sound.h"

#include <utility>

namespace tattletone {
namespace {

constexpr double shortest_seconds = 0.5;

std::string numbered(const std::string& path, std::size_t number) {
    if (number == 1) return path;
    const std::size_t dot = path.rfind('.');  // there is one: the ending told the format
    return path.substr(0, dot) + '-' + std::to_string(number) + path.substr(dot);
}

constexpr std::size_t highest_number = 100000;

}  // namespace

KeptSound::KeptSound(OutputFile place, double sample_rate_hz, ClipFormat format, ClipWriter writer)
    : place_(std::move(place)),
      sample_rate_hz_(sample_rate_hz),
      format_(format),
      writer_(std::move(writer)) {}

Result<KeptSound> KeptSound::create(const OutputFile& place, double sample_rate_hz) {
    const auto format = clip_format_for(place.path);
    if (!format) return format.error();
    auto writer = ClipWriter::create(place, sample_rate_hz, *format);
    if (!writer) return writer.error();
    return KeptSound(place, sample_rate_hz, *format, std::move(*writer));
}

std::string KeptSound::next_free_path() {
    OutputFile place = place_;
    do {
        place.path = numbered(place_.path, ++number_);
    } while (number_ < highest_number && judge(place));
    return place.path;
}

void KeptSound::end_piece() {
    if (writer_ && static_cast<double>(frames_) >= shortest_seconds * sample_rate_hz_) {
        auto placed = writer_->finish([this](int) { return next_free_path(); });
        if (placed) {
            written_.push_back(std::move(*placed));
            last_number_ = number_;
        } else {
            error_ = placed.error();
        }
    }
    writer_.reset();
    frames_ = 0;
}

void KeptSound::add(std::span<const float> samples, bool gap_before) {
    if (error_ || samples.empty()) return;
    if (gap_before && frames_ > 0) end_piece();
    if (!writer_ && !error_) {
        OutputFile place = place_;
        number_ = last_number_;  // a piece that was too short left its place to this one
        place.path = next_free_path();
        auto writer = ClipWriter::create(place, sample_rate_hz_, format_);
        if (!writer) {
            error_ = writer.error();
            return;
        }
        writer_ = std::move(*writer);
    }
    if (error_) return;
    error_ = writer_->write(samples);
    frames_ += samples.size();
    if (error_) writer_.reset();
}

Result<std::vector<std::string>> KeptSound::finish() {
    end_piece();
    if (error_) return *error_;
    if (written_.empty()) {
        return Error{place_.path, "less than half a second was heard, so nothing was kept",
                     "Listen for longer"};
    }
    return written_;
}

}  // namespace tattletone
