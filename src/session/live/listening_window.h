#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

namespace tattletone::session {

struct Level {
    double peak_dbfs = -400.0;  ///< 0 where the largest sample is full scale
    double rms_dbfs = -400.0;   ///< 0 for a full-scale sine
    bool clipping = false;      ///< three samples in a row at full scale
};

/// The last seconds of sound without a gap in them: what lies before a gap is forgotten.
class ListeningWindow {
  public:
    ListeningWindow(double sample_rate_hz, double seconds);
    void add(std::span<const float> samples, bool gap_before);
    std::span<const float> samples() const;  ///< the newest last
    /// Of the newest `seconds`, or of what there is.
    Level level(double seconds) const;
    std::uint64_t frames_heard() const { return frames_heard_; }  ///< ever, over all gaps
    std::uint64_t gaps() const { return gaps_; }

  private:
    double sample_rate_hz_;
    std::size_t most_;
    std::vector<float> recent_;  // up to twice `most_`, trimmed now and then
    std::uint64_t frames_heard_ = 0;
    std::uint64_t gaps_ = 0;
};

}  // namespace tattletone::session
