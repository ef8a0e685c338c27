#pragma once

#include <functional>
#include <memory>
#include <span>

#include "sound/recording.h"
#include "tones/tones.h"

namespace tattletone::tones {

struct FindOptions {
    double false_alarm_rate = 0.001;  ///< per recording, for noise alone
    int threads = 0;                  ///< 0: as many as the machine has; results do not depend on it
};

/// The only tone finder: a file is one call, live listening the same call on the last ten seconds.
/// Recordings shorter than 0.5 s and silence give no tones and a notice.
Tones find_tones(const sound::Recording& recording, const FindOptions& options = {});

/// The same for sound that is too long to hold: feed it in pieces of any size, then finish once.
/// `find_tones` is this with one piece.
class ToneFinder {
  public:
    ToneFinder(double sample_rate_hz, std::string origin, const FindOptions& options = {});
    ~ToneFinder();
    ToneFinder(ToneFinder&&) noexcept;
    ToneFinder& operator=(ToneFinder&&) noexcept;

    void add(std::span<const float> samples);
    void add_gap();  ///< samples were lost here: nothing is analysed across it
    Tones finish();

  private:
    struct State;
    std::unique_ptr<State> state_;
};

}  // namespace tattletone::tones
