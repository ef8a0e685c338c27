#include "session/live/listening_window.h"

#include <algorithm>
#include <cmath>

#include "base/decibels.h"

namespace tattletone::session {
namespace {

constexpr float full_scale = 0.9999f;  // the top step of 16 bits is 0.99997
constexpr int clipped_in_a_row = 3;

}  // namespace

ListeningWindow::ListeningWindow(double sample_rate_hz, double seconds)
    : sample_rate_hz_(sample_rate_hz), most_(static_cast<std::size_t>(seconds * sample_rate_hz)) {
    recent_.reserve(2 * most_);
}

void ListeningWindow::add(std::span<const float> samples, bool gap_before) {
    if (gap_before && frames_heard_ > 0) {
        recent_.clear();
        ++gaps_;
    }
    frames_heard_ += samples.size();
    if (samples.size() > most_) samples = samples.last(most_);
    if (recent_.size() + samples.size() > 2 * most_) {
        const std::size_t keep = std::min(recent_.size(), most_ - samples.size());
        recent_.erase(recent_.begin(), recent_.end() - static_cast<std::ptrdiff_t>(keep));
    }
    recent_.insert(recent_.end(), samples.begin(), samples.end());
}

std::span<const float> ListeningWindow::samples() const {
    return std::span(recent_).last(std::min(most_, recent_.size()));
}

Level ListeningWindow::level(double seconds) const {
    const auto wanted = static_cast<std::size_t>(seconds * sample_rate_hz_);
    const auto newest = std::span(recent_).last(std::min(wanted, recent_.size()));
    Level level;
    if (newest.empty()) return level;
    double squares = 0.0;
    float peak = 0.0f;
    int in_a_row = 0;
    for (const float sample : newest) {
        squares += static_cast<double>(sample) * sample;
        peak = std::max(peak, std::abs(sample));
        in_a_row = std::abs(sample) >= full_scale ? in_a_row + 1 : 0;
        level.clipping = level.clipping || in_a_row >= clipped_in_a_row;
    }
    level.rms_dbfs = base::mean_square_to_dbfs(squares / static_cast<double>(newest.size()));
    level.peak_dbfs = base::power_to_db(static_cast<double>(peak) * peak);
    return level;
}

}  // namespace tattletone::session
