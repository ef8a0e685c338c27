#pragma once

#include <memory>
#include <optional>
#include <span>

#include "session/listening_window.h"
#include "session/spectrogram.h"
#include "session/spectrum_curve.h"
#include "sound/recording.h"

namespace tattletone {

/// What a window shows of live sound beside its tones, and the stretches that the user keeps.
/// Belongs to the listening thread.
class LivePicture {
  public:
    static constexpr double longest_past_seconds = 30.0;

    explicit LivePicture(double sample_rate_hz);
    void add(std::span<const float> samples, bool gap_before);

    /// Of the newest two seconds.
    std::shared_ptr<const SpectrumCurve> curve() const;
    std::shared_ptr<const Spectrogram> spectrogram();
    std::span<const float> newest(double seconds) const;

    /// Keeps the last so many seconds, or what there is without a gap.
    Recording past(double seconds) const;
    /// Begins to keep what comes; a gap begins it anew.
    void begin_capture(double seconds);
    void end_capture() { wanted_frames_ = 0; }
    bool capturing() const { return wanted_frames_ > 0; }
    double captured_seconds() const;
    /// The capture, once it is whole.
    std::optional<Recording> captured();

  private:
    Recording recording_of(std::span<const float> samples) const;

    double sample_rate_hz_;
    ListeningWindow past_;
    SpectrogramMeter rows_;
    std::shared_ptr<const Spectrogram> published_;
    bool rows_changed_ = true;
    std::size_t wanted_frames_ = 0;
    std::vector<float> capture_;
};

}  // namespace tattletone
