#pragma once

#include <cstddef>
#include <span>
#include <vector>

namespace tattletone::session {

/// A spectrum to look at: mean density in dBFS in a band of 1 Hz (as
/// FloorPoint::noise_dbfs_per_hz), bin 0 at 0 Hz. Nothing is found in it; tones come from
/// find_tones alone.
struct SpectrumCurve {
    double bin_hz = 0.0;
    std::vector<float> dbfs_per_hz;
};

/// Welch's average of Hann frames. Empty where `samples` is shorter than a frame.
SpectrumCurve spectrum_of(std::span<const float> samples, double sample_rate_hz, std::size_t frame_size);

/// The same of sound that comes piece by piece: memory does not grow with its length.
class SpectrumMeter {
  public:
    SpectrumMeter(double sample_rate_hz, std::size_t frame_size);
    void add(std::span<const float> samples);
    void add_gap();  ///< no frame is taken across it
    SpectrumCurve curve() const;

  private:
    double sample_rate_hz_;
    std::size_t frame_size_;
    std::vector<float> waiting_;
    std::vector<double> sum_;
    double frames_ = 0.0;
};

}  // namespace tattletone::session
