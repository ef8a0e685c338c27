#include "tones/judge/speech.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "base/decibels.h"

namespace tattletone::tones {
namespace {

constexpr double moment_seconds = 0.05, shortest_speech_seconds = 2.0;

double quantile(std::vector<double> values, double share) {
    if (values.empty()) return 0.0;
    const auto at = static_cast<std::ptrdiff_t>(share * static_cast<double>(values.size() - 1));
    std::nth_element(values.begin(), values.begin() + at, values.end());
    return values[static_cast<std::size_t>(at)];
}

}  // namespace

SpeechMeter::SpeechMeter(double sample_rate_hz)
    : sample_rate_hz_(sample_rate_hz),
      size_(std::max<std::size_t>(1, static_cast<std::size_t>(moment_seconds * sample_rate_hz))) {}

void SpeechMeter::add(std::span<const float> samples) {
    for (const float x : samples) {
        square_ += static_cast<double>(x) * x;
        step_square_ += static_cast<double>(x - last_) * (x - last_);
        last_ = x;
        if (++count_ < size_) continue;
        const double quiet = 1e-12 * static_cast<double>(size_);
        // The difference of neighbours is the frequency: |1 - exp(-iw)|² ≈ w² far below half the
        // rate.
        const double hz =
            sample_rate_hz_ / (2.0 * std::numbers::pi) * std::sqrt(step_square_ / std::max(square_, quiet));
        const double level = std::max(square_, quiet) / static_cast<double>(size_);
        moments_.push_back({static_cast<float>(base::mean_square_to_dbfs(level)), static_cast<float>(hz)});
        square_ = step_square_ = 0.0;
        count_ = 0;
    }
}

bool SpeechMeter::like_speech(const SpeechLimits& limits) const {
    const double seconds = moment_seconds * static_cast<double>(moments_.size());
    if (seconds < shortest_speech_seconds) return false;
    std::vector<double> levels, steps;
    for (const Moment& moment : moments_) levels.push_back(moment.level_db);
    const double top = quantile(levels, 0.95);
    if (top - quantile(levels, 0.1) < limits.least_swing_db) return false;
    int on = 0, rises = 0, loud = 0, voiced = 0;
    bool was_on = true;
    for (std::size_t i = 0; i < moments_.size(); ++i) {
        const bool is_on = levels[i] > top - limits.on_within_db;
        on += is_on;
        rises += is_on && !was_on;
        if (is_on && i > 0) steps.push_back(std::abs(levels[i] - levels[i - 1]));
        was_on = is_on;
        if (levels[i] < top - limits.loud_within_db) continue;
        ++loud;
        voiced += moments_[i].mean_hz < limits.voice_below_hz;
    }
    const double share = static_cast<double>(on) / static_cast<double>(moments_.size());
    return share > limits.least_on && share < limits.most_on && rises > limits.least_rises_per_second * seconds &&
           quantile(steps, 0.5) < limits.most_step_db && voiced > limits.least_voiced * loud;
}

}  // namespace tattletone::tones
