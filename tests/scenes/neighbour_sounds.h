#pragma once

#include <span>
#include <string>
#include <vector>

#include "board/sheet/sheet.h"
#include "scenes/neighbours.h"
#include "support/names.h"
#include "support/random.h"
#include "support/room.h"
#include "support/voice.h"

namespace tattletone::scenes {

/// A line of a sound at multiple · hz + modulation · (frequency of the mains).
struct Partial {
    double multiple = 1.0, modulation = 0.0;
    double level_db = 0.0;  ///< relative to the others of the neighbour, before the microphone
};

/// How the fundamental of a sound moves; all relative to it.
struct Movement {
    double sway = 0.0;          ///< standard deviation of a walk within a recording
    double sway_seconds = 2.0;  ///< and its correlation time
    double trend = 0.0;         ///< from the first to the last moment of a recording, standard deviation
    double between = 0.0;       ///< from one recording to the next, standard deviation
    double vibrato = 0.0, vibrato_hz = 6.0;
    double flutter = 0.0;  ///< of each line's amplitude, standard deviation
};

/// Lines that move together.
struct NeighbourSound {
    double hz = 0.0;             ///< true fundamental; of the mains: its nominal value
    bool follows_mains = false;  ///< the fundamental is the grid's
    std::vector<Partial> partials;
    Movement movement;
    double from_share = 0.0, to_share = 1.0;  ///< when in a recording it sounds
};

/// Sounds that are no lines, or lines for moments only.
enum class Commotion { none, speech, typing, birds, machinery };

struct DrawnNeighbour {
    std::string what;  ///< a few words
    std::vector<NeighbourSound> sounds;
    Commotion commotion = Commotion::none;
    bool new_each_time = false;  ///< every recording hears another such neighbour, as music goes on
};

/// Where a neighbour is drawn.
struct Surroundings {
    const BoardSheet& sheet;
    const std::vector<Timing>& timing;
    const NeighbourAssumptions& assumptions;
    Band band;
    double mains_nominal_hz;
};

/// By kind; machines that the mains or a shaft drive, then those with a clock or a tune of their own.
DrawnNeighbour draw_mains_buzz(const Surroundings& around, Random& random);
DrawnNeighbour draw_fan(const Surroundings& around, Random& random);
DrawnNeighbour draw_motor(const Surroundings& around, Random& random);
DrawnNeighbour draw_charger(const Surroundings& around, Random& random);
DrawnNeighbour draw_clocked(const Surroundings& around, Random& random);
DrawnNeighbour draw_beside(const Surroundings& around, Random& random);
DrawnNeighbour draw_notes(const Surroundings& around, Random& random);
DrawnNeighbour draw_television(const Surroundings& around, Random& random);
DrawnNeighbour draw_oscillator(const Surroundings& around, Random& random);
DrawnNeighbour draw_commotion(const Surroundings& around, Random& random);

/// Orders 1 … `most` of a fundamental as far as the band goes, falling by `fall_db` an octave with a scatter.
std::vector<Partial> harmonics(double hz, int most, double fall_db, double scatter_db, const Surroundings& around,
                               Random& random);

/// Is no fixed declared rate within 0.3 % of it? A crystal is not 0.3 % off by itself.
bool beside_all_rates(const BoardSheet& sheet, double hz);

/// `level_rms` while it sounds, about.
void add_commotion(std::span<double> to, Commotion which, double level_rms, double sample_rate_hz, Random& random);

}  // namespace tattletone::scenes
