#pragma once

#include <functional>
#include <string>
#include <vector>

#include "sound/recording.h"
#include "support/names.h"
#include "support/room.h"
#include "toggle/plan/plan.h"

namespace tattletone::scenes {

/// A line that is heard while its part is on (and while nobody switches it off, where `part` is -1).
struct SwitchedLine {
    int part = -1;
    double hz = 0.0, tone_to_noise_db = 0.0;
    int pitched_by = -1;  ///< a part that moves it by `pitch_hz` while on
    double pitch_hz = 0.0;
    double off_db = -200.0;  ///< its level with the part off, against on
    double settle_seconds =
        0.0;  ///< until a switching is through: the amplitude follows exponentially, this far to 95 %
};

/// How a plan was carried out and recorded.
struct Performance {
    double sample_rate_hz = 16000.0, seconds = 62.0;
    double start_seconds = 0.7;  ///< of the plan's first step; it repeats before and after
    double pace = 0.0;
    bool once = false;  ///< nothing is on before its first step and after its last
    double noise_dbfs_per_hz = -110.0;
    std::vector<SwitchedLine> lines;
};

/// Which parts are on, a bit each, in a step of the plan counted from its beginning.
using Switching = std::function<unsigned(long long step)>;
Switching switching_of(const toggle::Plan& plan);

/// White noise and the lines, so loud over the noise in their critical bands.
Signal perform(const Performance& performance, double step_seconds, std::size_t steps, const Switching& switching,
               Random& random);
/// A room's background, brought from 48 kHz down to 16 kHz. Of `room` all but its sample rate may be changed first.
Room room_for_16_khz(Random& random);
Signal background_at_16_khz(const Room& room, std::size_t samples, Random& random);

sound::Recording recording_of(const Signal& signal, double sample_rate_hz);

/// What recorders do: slow automatic gain (time constant 0.3 s, towards one loudness), and a gap whose samples are lost
/// or silent.
void level_automatically(Signal& signal, double sample_rate_hz);
void lose(Signal& signal, double sample_rate_hz, double from_seconds, double seconds, bool silence);

}  // namespace tattletone::scenes
