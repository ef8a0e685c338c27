#include "sound/capture/click_synthesizer.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace tattletone::sound {
namespace {

constexpr double click_hz = 1200.0, click_seconds = 0.004, click_peak = 0.1;
constexpr double most_a_second = 40.0;
static_assert(std::atomic<double>::is_always_lock_free && std::atomic<bool>::is_always_lock_free,
              "read in the sound card's callback");

}  // namespace

ClickSynthesizer::ClickSynthesizer(double sample_rate_hz)
    : sample_rate_hz_(sample_rate_hz),
      click_frames_(static_cast<std::size_t>(click_seconds * sample_rate_hz)),
      into_click_(click_frames_) {}

void ClickSynthesizer::set_rate(double clicks_per_second) {
    rate_.store(std::clamp(clicks_per_second, 0.0, most_a_second), std::memory_order_relaxed);
}

void ClickSynthesizer::click() {
    once_.store(true, std::memory_order_relaxed);
}

void ClickSynthesizer::fill(float* samples, std::size_t frames, std::size_t channels) noexcept {
    const double step = rate_.load(std::memory_order_relaxed) / sample_rate_hz_;
    if (once_.exchange(false, std::memory_order_relaxed)) into_click_ = 0;
    for (std::size_t i = 0; i < frames; ++i) {
        until_next_ += step;
        if (until_next_ >= 1.0) {
            until_next_ -= 1.0;
            into_click_ = 0;
        }
        double value = 0.0;
        if (into_click_ < click_frames_) {
            const double share = static_cast<double>(into_click_) / static_cast<double>(click_frames_);
            const double fade = std::sin(std::numbers::pi * share);
            value = click_peak * fade * fade *
                    std::sin(2.0 * std::numbers::pi * click_hz * static_cast<double>(into_click_) / sample_rate_hz_);
            ++into_click_;
        }
        for (std::size_t channel = 0; channel < channels; ++channel)
            samples[i * channels + channel] = static_cast<float>(value);
    }
}

}  // namespace tattletone::sound
