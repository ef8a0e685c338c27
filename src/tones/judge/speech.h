#pragma once

#include <cstddef>
#include <span>
#include <vector>

namespace tattletone::tones {

/// What makes a sound like speech. Above each number stands what tests/bench/rejection_cost
/// printed: voices heard and other sounds taken for speech, real and simulated; then both without
/// its condition (off) and at other values.
struct SpeechLimits {
    // rejection_cost speech_least_swing_db: hears 47 of 61 voices, takes 16 of 243 other sounds; off: 47, 16; 10.5: 47,
    //   16; 21: 47, 13
    double least_swing_db = 15.0;  ///< from the quietest tenth of the moments to the loudest
    // rejection_cost speech_on_within_db: hears 47 of 61 voices, takes 16 of 243 other sounds; off: 0, 0; 10.5: 55, 22;
    //   21: 39, 14
    double on_within_db = 15.0;  ///< of the loudest: a moment is on
    // rejection_cost speech_loud_within_db: hears 47 of 61 voices, takes 16 of 243 other sounds; off: 16, 20; 7: 47,
    //   15; 14: 44, 16
    double loud_within_db = 10.0;  ///< of the loudest: a moment is judged by its frequency
    // rejection_cost speech_least_on: hears 47 of 61 voices, takes 16 of 243 other sounds; off: 47, 18; 0.105: 47, 18;
    //   0.21: 42, 15
    double least_on = 0.15;  ///< share of the moments that are on
    // rejection_cost speech_most_on: hears 47 of 61 voices, takes 16 of 243 other sounds; off: 47, 19; 0.595: 43, 12;
    //   1.19: 47, 19
    double most_on = 0.85;  ///< the same
    // rejection_cost speech_least_rises_per_second: hears 47 of 61 voices, takes 16 of 243 other sounds; off: 47, 27;
    //   0.28: 47, 24; 0.56: 41, 15
    double least_rises_per_second = 0.4;  ///< how often sound comes on
    // rejection_cost speech_most_step_db: hears 47 of 61 voices, takes 16 of 243 other sounds; off: 57, 23; 4.41: 19,
    //   9; 8.82: 57, 21
    double most_step_db = 6.3;  ///< median change from one moment that is on to the next
    // rejection_cost speech_voice_below_hz: hears 47 of 61 voices, takes 16 of 243 other sounds; off: 49, 45; 1050: 13,
    //   12; 2100: 48, 25
    double voice_below_hz = 1500.0;  ///< root mean square of a moment's frequency
    // rejection_cost speech_least_voiced: hears 47 of 61 voices, takes 16 of 243 other sounds; off: 49, 45; 0.42: 48,
    //   21; 0.84: 30, 12
    double least_voiced = 0.6;  ///< share of the loud moments that are below it
};

/// Whether a recording sounds as speech does, by its rhythm alone, fed piece by piece: loud
/// segments that come and go (by 15 dB or more, again and again), last longer than a knock, and
/// have most of their power below 1.5 kHz. A heuristic of our own without a calibrated error: it
/// took 18 of 21 real voices for speech, and 15 of 203 clips of other sounds, most of them barks
/// and cries (tests/tones/speech_test.cpp counts). To be told in hedged words only.
class SpeechMeter {
  public:
    explicit SpeechMeter(double sample_rate_hz);
    void add(std::span<const float> samples);
    /// False below two seconds.
    bool like_speech(const SpeechLimits& limits = {}) const;

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
