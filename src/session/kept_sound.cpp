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

}  // namespace

KeptSound::KeptSound(std::string path, double sample_rate_hz, ClipFormat format, ClipWriter writer)
    : path_(std::move(path)),
      sample_rate_hz_(sample_rate_hz),
      format_(format),
      writer_(std::move(writer)) {}

Result<KeptSound> KeptSound::create(const std::string& path, double sample_rate_hz) {
    const auto format = clip_format_for(path);
    if (!format) return format.error();
    auto writer = ClipWriter::create(path, sample_rate_hz, *format);
    if (!writer) return writer.error();
    return KeptSound(path, sample_rate_hz, *format, std::move(*writer));
}

void KeptSound::end_piece() {
    if (writer_ && static_cast<double>(frames_) >= shortest_seconds * sample_rate_hz_) {
        if (auto error = writer_->finish()) {
            error_ = std::move(error);
        } else {
            written_.push_back(numbered(path_, written_.size() + 1));
        }
    }
    writer_.reset();
    frames_ = 0;
}

void KeptSound::add(std::span<const float> samples, bool gap_before) {
    if (error_ || samples.empty()) return;
    if (gap_before && frames_ > 0) end_piece();
    if (!writer_ && !error_) {
        auto writer =
            ClipWriter::create(numbered(path_, written_.size() + 1), sample_rate_hz_, format_);
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
        return Error{path_, "less than half a second was heard, so nothing was kept",
                     "Listen for longer"};
    }
    return written_;
}

}  // namespace tattletone
