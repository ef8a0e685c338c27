#pragma once

#include <memory>
#include <span>
#include <vector>

#include "tones/join/sound_mark.h"
#include "tones/judge/rejection_limits.h"
#include "tones/segment.h"
#include "tones/tones.h"

namespace tattletone::tones {

/// Joins the segments of one recording, in order of time, into its tones. A line that only one of
/// many segments shows must stand so far above its threshold that the false-alarm rate holds for
/// them all.
class Joiner {
  public:
    explicit Joiner(const RejectionLimits& limits = {}) : limits_(limits) {}
    void add(Segment segment, double begin_seconds);
    /// Tones with ratios, origins and floor; names, length and notices are the caller's.
    Tones finish();
    /// Level of the noise, one value each hop, in order of time.
    std::span<const float> noise_db() const { return noise_db_; }
    double noise_hop_seconds() const { return noise_hop_seconds_; }
    /// In any of the segments; faint lines are told of a single one only.
    Crowded crowded() const { return crowded_; }

  private:
    struct Track {
        Tone tone;  ///< running means, weighted by the time in which it is there
        double seconds_there = 0.0;
        double seconds_seen = 0.0;
        double mean_square_seconds = 0.0;
        double inverse_variance = 0.0;
        int segments = 0;
        double last_hz = 0.0;
        double last_seconds = 0.0;
    };

    RejectionLimits limits_;
    double seconds_ = 0.0;
    int segments_ = 0;
    Band usable_;
    double bin_hz_ = 0.0;
    std::vector<double> density_seconds_;
    std::vector<FloorPoint> floor_;
    std::vector<FaintLine> faint_;              ///< of the first segment, while it is the only one
    std::shared_ptr<const FineSpectrum> fine_;  ///< of the first
    std::vector<std::shared_ptr<const FineSpectrum>> later_;
    std::vector<PulseLine> pulses_;  ///< only of the first
    SoundMark mark_;
    std::vector<float> noise_db_;
    double noise_hop_seconds_ = 0.0;
    std::vector<Track> tracks_;
    Crowded crowded_;
};

}  // namespace tattletone::tones
