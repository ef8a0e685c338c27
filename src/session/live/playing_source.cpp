#include "session/live/playing_source.h"

#include <algorithm>
#include <utility>

namespace tattletone::session {

PlayingSource::PlayingSource(std::string name, sound::Recording recording)
    : name_(std::move(name)), recording_(std::move(recording)) {}

sound::Piece PlayingSource::read(std::span<float> to) {
    const auto now = std::chrono::steady_clock::now();
    if (!begun_) begin_ = now;
    begun_ = true;
    const double seconds = std::chrono::duration<double>(now - begin_).count();
    const auto due = std::min(recording_.samples.size(), static_cast<std::size_t>(seconds * recording_.sample_rate_hz));
    const std::size_t count = std::min(to.size(), due - std::min(due, given_));
    std::copy_n(recording_.samples.begin() + static_cast<std::ptrdiff_t>(given_), count, to.begin());
    given_ += count;
    return {count, false};
}

}  // namespace tattletone::session
