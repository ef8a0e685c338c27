#pragma once

#include <vector>

#include "support/boards.h"
#include "support/names.h"
#include "support/room.h"
#include "support/scene.h"

namespace tattletone::scenes {

/// Resonances of one board: gain in dB, smooth in frequency, normal with the given deviation.
class Resonances {
  public:
    Resonances(double sd_db, Random& random);
    double gain_db(double hz) const;

  private:
    struct Wave {
        double cycles_per_octave, phase, weight_db;
    };
    std::vector<Wave> waves_;
};

/// One line of a voice, before the level is set.
struct VoiceLine {
    double multiple = 1.0;
    double level_db = 0.0;  ///< relative to the others of the voice
};

/// A source of lines that move together: a rate that sings, or a whine that nobody declared.
struct Voice {
    int rate = -1;
    Path hz;                       ///< of the fundamental, as recorded
    std::vector<VoiceLine> lines;  ///< those in the band of the recording
    double from_seconds = 0.0, to_seconds = 1e9;
    bool steady = true;
    double burst_hz = 0.0, burst_duty = 1.0, burst_phase = 0.0;  ///< on for so much of each period; 0 Hz: all the time
    Path pressure;                                               ///< factor of all lines over time; empty: 1
    Path duty;  ///< of the pulse; empty: what the lines' levels say. Harmonic n has |sin(n pi duty)| of its level
};

struct Band {
    double low_hz, high_hz;
};

/// How a rate moves in one recording. `deviation` is relative; `mean_hz` for a wandering one its middle.
Path draw_path(Timing timing, double mean_hz, std::size_t samples, double sample_rate_hz, double wander_scale,
               Random& random);

/// Which harmonics it has in the band and how strong, by shape and resonances. May be empty.
std::vector<VoiceLine> draw_lines(Shape shape, double hz, const Resonances& resonances, const Room& room, Band band,
                                  Random& random);

/// Sets the level so that the strongest line in the band stands `tone_to_noise_db` over the noise in its
/// critical band, adds the lines to the recording and tells what was added.
std::vector<TrueLine> add_voice(std::span<double> to, const Voice& voice, double tone_to_noise_db, const Room& room,
                                int take, Random& random);

}  // namespace tattletone::scenes
