#pragma once

#include <memory>
#include <optional>
#include <span>

#include "session/live/listening_window.h"
#include "session/live/spectrogram.h"
#include "session/live/spectrum_curve.h"
#include "sound/recording.h"

namespace tattletone::session {

/// What a window shows of live sound beside its tones, and the segments that the user keeps.
/// Belongs to the listening thread.
class LivePicture {
  public:
    static constexpr double longest_past_seconds = 30.0;

    explicit LivePicture(double sample_rate_hz);
    void add(std::span<const float> samples, bool gap_before);

    /// Of the newest seconds, with bins of 2.9, 0.73 or 0.18 Hz: the widest that is not above
    /// `bin_hz`, and none that needs more sound than there is. Null without half a second of sound.
    std::shared_ptr<const SpectrumCurve> curve(double bin_hz);
    /// Whether a new curve would tell more than the last one.
    bool curve_due(double bin_hz) const;
    std::shared_ptr<const Spectrogram> spectrogram();
    std::span<const float> newest(double seconds) const;

    /// Keeps the last so many seconds, or what there is without a gap.
    sound::Recording past(double seconds) const;
    /// Begins to keep what comes. A gap begins it anew, or is marked in it.
    void begin_capture(double seconds, bool through_gaps);
    void end_capture() { wanted_frames_ = 0; }
    bool capturing() const { return wanted_frames_ > 0; }
    double captured_seconds() const;
    /// The capture, once it is whole.
    std::optional<sound::Recording> captured();

  private:
    double frame_for(double bin_hz) const;
    sound::Recording recording_of(std::span<const float> samples, std::uint64_t end_frame) const;

    double sample_rate_hz_;
    ListeningWindow past_;
    SpectrogramMeter rows_;
    std::shared_ptr<const Spectrogram> published_;
    bool rows_changed_ = true;
    std::uint64_t curve_frames_ = 0;  // heard when the last curve was made …
    double curve_seconds_ = 0.0;      // … from frames of so many seconds
    std::size_t wanted_frames_ = 0;
    bool through_gaps_ = false;
    std::vector<float> capture_;
    std::vector<std::size_t> capture_gaps_;
    std::uint64_t capture_end_ = 0;  // samples heard up to its end
};

}  // namespace tattletone::session
