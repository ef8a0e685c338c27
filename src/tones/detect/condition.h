#pragma once

#include <cstddef>
#include <span>
#include <string>
#include <vector>

#include "spectrum/periodogram.h"
#include "tones/judge/rejection_limits.h"
#include "tones/tones.h"

namespace tattletone::tones {

/// Where the noise floor ends at a cliff (a codec, a telephone, a resampler): 15 dB down within 1
/// kHz and down to the end of the band, in the quiet moments of the recording, so that a voice,
/// which has a band of its own, is not taken for a codec. At most 40 Hz … 20 kHz and 0.98 of half
/// the sample rate.
Band usable_band(const spectrum::Frames& frames, const RejectionLimits& limits = {});

/// Faults of a recording that can be seen in its samples, gathered piece by piece.
class ConditionMeter {
  public:
    explicit ConditionMeter(double sample_rate_hz) : sample_rate_hz_(sample_rate_hz) {}
    void add(std::span<const float> samples);
    /// Sentences for the user; empty for a sound recording.
    /// `noise_db`, one value each `frame_seconds`, is the level of the noise without its lines,
    /// where it is known: a tone that begins is no change of the gain. Without it the samples' own
    /// level serves.
    std::vector<std::string> notices(std::span<const float> noise_db = {}, double frame_seconds = 0.0) const;
    bool silent() const;
    bool clipped() const;
    /// Of the samples that are at the limit.
    double clipped_share() const;

  private:
    void add_one(float sample);
    void count_at_peak(float size, std::size_t count);
    void end_run(float exit_step);
    std::vector<std::string> notices_of_ended_runs(std::span<const float> noise_db, double frame_seconds) const;

    double sample_rate_hz_;
    std::size_t count_ = 0;
    double square_sum_ = 0.0;
    float peak_ = 0.0f;
    std::size_t at_limit_ = 0;  ///< samples in runs of three or more at the positive or negative limit
    std::size_t at_peak_ = 0;   ///< samples as large as the largest so far, in runs of any length
    std::size_t run_ = 0;       ///< length of the present run of equal samples
    float last_ = 0.0f;
    float entry_step_ = 0.0f;  ///< into the present run
    std::size_t frozen_ = 0;   ///< samples in runs of equal values of 20 ms or more
    std::size_t frozen_runs_ = 0;
    double frame_square_ = 0.0;  ///< of the samples' differences, which leave rumble out
    std::size_t frame_count_ = 0;
    std::vector<float> frame_db_;  ///< every 50 ms
};

}  // namespace tattletone::tones
