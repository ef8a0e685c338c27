#pragma once

#include <atomic>
#include <cstddef>

namespace tattletone::sound {

/// Clicks at a rate that any thread may set: short bursts of 1.2 kHz at a tenth of full scale, soft
/// enough for headphones. `fill` belongs to the sound card's callback: no allocation, lock or
/// system call.
class ClickSynthesizer {
  public:
    explicit ClickSynthesizer(double sample_rate_hz);
    /// 0 is silence; at most 40. Takes effect within one click.
    void set_rate(double clicks_per_second);
    void click();  ///< one, at once
    void fill(float* samples, std::size_t frames, std::size_t channels) noexcept;

  private:
    double sample_rate_hz_;
    std::size_t click_frames_;
    std::atomic<double> rate_{0.0};
    std::atomic<bool> once_{false};
    double until_next_ = 0.0;     // share of an interval that is over
    std::size_t into_click_ = 0;  // frames since its begin; click_frames_: none sounds
};

}  // namespace tattletone::sound
