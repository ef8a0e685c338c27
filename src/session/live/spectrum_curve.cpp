#include "session/live/spectrum_curve.h"

#include <algorithm>

#include "base/decibels.h"
#include "spectrum/periodogram.h"

namespace tattletone::session {
namespace {

constexpr std::size_t frames_at_once = 32;

SpectrumCurve in_decibels(const std::vector<double>& density, double bin_hz) {
    SpectrumCurve curve;
    curve.bin_hz = bin_hz;
    curve.dbfs_per_hz.reserve(density.size());
    for (const double value : density)
        curve.dbfs_per_hz.push_back(static_cast<float>(base::mean_square_to_dbfs(value)));
    return curve;
}

}  // namespace

SpectrumCurve spectrum_of(std::span<const float> samples, double sample_rate_hz, std::size_t frame_size) {
    const spectrum::Frames frames = spectrum::frame_spectra(samples, sample_rate_hz, frame_size);
    if (frames.count == 0) return {};
    return in_decibels(spectrum::mean_density(frames), frames.bin_hz);
}

SpectrumMeter::SpectrumMeter(double sample_rate_hz, std::size_t frame_size)
    : sample_rate_hz_(sample_rate_hz), frame_size_(frame_size), sum_(frame_size / 2 + 1) {}

void SpectrumMeter::add(std::span<const float> samples) {
    waiting_.insert(waiting_.end(), samples.begin(), samples.end());
    const std::size_t hop = frame_size_ / 2;
    while (waiting_.size() >= frame_size_) {
        const std::size_t count = std::min(frames_at_once, (waiting_.size() - frame_size_) / hop + 1);
        const auto part = std::span<const float>(waiting_).first(frame_size_ + (count - 1) * hop);
        const spectrum::Frames frames = spectrum::frame_spectra(part, sample_rate_hz_, frame_size_);
        const std::vector<double> mean = spectrum::mean_density(frames);
        for (std::size_t bin = 0; bin < sum_.size(); ++bin) sum_[bin] += mean[bin] * static_cast<double>(frames.count);
        frames_ += static_cast<double>(frames.count);
        waiting_.erase(waiting_.begin(), waiting_.begin() + static_cast<std::ptrdiff_t>(frames.count * hop));
    }
}

void SpectrumMeter::add_gap() {
    waiting_.clear();
}

SpectrumCurve SpectrumMeter::curve() const {
    if (frames_ == 0.0) return {};
    std::vector<double> mean = sum_;
    for (double& value : mean) value /= frames_;
    return in_decibels(mean, sample_rate_hz_ / static_cast<double>(frame_size_));
}

}  // namespace tattletone::session
