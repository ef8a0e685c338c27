#pragma once

#include <cstddef>
#include <span>
#include <vector>

namespace tattletone::tones {

/// Whether a recording sounds as speech does, by its rhythm alone, fed piece by piece: loud
/// segments that come and go (by 15 dB or more, again and again), last longer than a knock, and
/// have most of their power below 1.5 kHz. A heuristic of our own without a calibrated error: it
/// took 18 of 21 real voices for speech, and 15 of 203 clips of other sounds, most of them barks and
/// cries (tests/tones/speech_test.cpp counts). To be told in hedged words only.
class SpeechMeter {
  public:
    explicit SpeechMeter(double sample_rate_hz);
    void add(std::span<const float> samples);
    /// False below two seconds.
    bool like_speech() const;

  private:
    struct Moment {
        float level_db, mean_hz;  ///< `mean_hz`: root mean square of the frequency
    };
    double sample_rate_hz_;
    std::size_t size_, count_ = 0;
    double square_ = 0.0, step_square_ = 0.0;
    float last_ = 0.0f;
    std::vector<Moment> moments_;  ///< every 50 ms
};

}  // namespace tattletone::tones
