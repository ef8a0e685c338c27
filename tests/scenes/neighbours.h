#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "sound/recording.h"
#include "support/names.h"
#include "support/scene.h"

namespace tattletone::scenes {

/// What sounds beside a board. The last is not one of the nine that are drawn: a test of its own.
enum class Neighbour {
    mains,       ///< buzz of a dimmer, a rectifier, a supply: multiples of the mains
    fan,         ///< blades and shaft
    motor,       ///< brushed: drill, toothbrush, pump
    charger,     ///< a converter fed by the mains
    clocked,     ///< another device's crystal
    notes,       ///< music that holds its notes
    television,  ///< a line rate
    oscillator,  ///< a lamp's dimming or another converter, timed by parts that drift
    commotion,   ///< speech, typing, birds, machinery
    beside       ///< a crystal's comb 0.3 to 5 % beside the rate of a declared crystal
};
inline constexpr int drawn_neighbours = 9;
const char* name_of(Neighbour kind);

struct NeighbourAssumptions {
    std::optional<Neighbour> kind;  ///< none: one of the nine, by the seed
    bool room = false;              ///< with a recording of the room, the board off
    bool dry = false;               ///< without the room's reverberation
    bool far = false;               ///< with a take from 60 cm
    double steady_low_db = -16.0;   ///< tone-to-noise of the strongest line, where a long look finds it
    double moving_low_db = 0.0;     ///< the same where it moves
    double high_db = 40.0;          ///< of both
    int fewest_rates = 5, most_rates = 10;
    double beside_low = 0.003, beside_high = 0.05;
    bool may_have_a_declared_rate = false;  ///< a fundamental within 0.3 % of a declared one's: nobody can tell
};

/// A board that is silent, and one neighbour.
struct NeighbourScene {
    Neighbour kind = Neighbour::mains;
    std::string what;
    Scene scene;  ///< nobody sings; `lines` are the neighbour's, as loud as in the mean over the room
    std::vector<TrueLine> room_lines, far_lines;
    double tone_to_noise_db = 0.0;  ///< of the neighbour's strongest line
};

/// The same for the same seed and assumptions; `room` and `far` change nothing in the takes.
NeighbourScene make_neighbour_scene(std::uint64_t seed, const NeighbourAssumptions& assumptions = {});

/// Rates that could have made the neighbour's strongest line of the first take as one of their first four harmonics,
/// by tolerance and range: there nothing but the other lines and recordings can tell.
std::vector<int> rates_that_fit(const NeighbourScene& made);

}  // namespace tattletone::scenes
