// Neighbours that turn, or that the mains drive.

#include <algorithm>
#include <cmath>

#include "scenes/neighbour_sounds.h"
#include "support/names.h"

namespace tattletone::scenes {

namespace {

/// A resonance of case or lamp, as it raises a line.
double ring_db(double hz, double ring_hz, double q, double gain_db) {
    const double detuned = q * (hz / ring_hz - ring_hz / hz);
    return gain_db / (1.0 + detuned * detuned);
}

}  // namespace

std::vector<Partial> harmonics(double hz, int most, double fall_db, double scatter_db, const Surroundings& around,
                               Random& random) {
    std::vector<Partial> partials;
    for (int n = 1; n <= most && n * hz < around.band.high_hz; ++n)
        partials.push_back({static_cast<double>(n), 0.0, -fall_db * std::log2(n) + scatter_db * random.normal()});
    return partials;
}

DrawnNeighbour draw_mains_buzz(const Surroundings& around, Random& random) {
    enum Kind { dimmer, rectifier, supply };
    constexpr const char* names[] = {"a dimmed lamp", "a rectifier", "a supply"};
    const int kind = random.below(3);
    // Common practice: amplitudes fall as k^-0.5 to k^-1.2 up to 12 kHz, the even orders of a symmetrical load stand 10
    // to 30 dB over the odd ones, a filament or a case rings between 1 and 6 kHz.
    const double exponent = kind == supply ? random.uniform(0.9, 1.6) : random.uniform(0.5, 1.2);
    const double odd_db = -random.uniform(10.0, 30.0);
    const double ring_hz = random.log_uniform(1000.0, 6000.0), q = random.uniform(1.5, 6.0);
    const double ring_gain_db = random.uniform(3.0, 20.0);
    const double highest_hz =
        std::min(around.band.high_hz, random.log_uniform(kind == supply ? 2000.0 : 4000.0, 12000.0));
    // A phase cut at the angle θ after the zero has components that come and go with the order as cos(kθ) does.
    const double cut = kind == dimmer ? random.uniform(0.4, 2.7) : 0.0;

    DrawnNeighbour drawn;
    drawn.what = std::string(names[kind]) + " on " + (around.mains_nominal_hz < 55.0 ? "50" : "60") + " Hz";
    NeighbourSound sound;
    sound.hz = around.mains_nominal_hz;
    sound.follows_mains = true;
    for (int k = 1; k * sound.hz < highest_hz; ++k) {
        double db = -20.0 * exponent * std::log10(k) + (k % 2 == 1 ? odd_db : 0.0) + 3.0 * random.normal();
        if (kind == dimmer) db += 20.0 * std::log10(0.25 + 0.75 * std::abs(std::cos(k * cut)));
        db += ring_db(k * sound.hz, ring_hz, q, ring_gain_db);
        sound.partials.push_back({static_cast<double>(k), 0.0, db});
    }
    sound.movement.flutter = random.log_uniform(0.003, 0.05);
    drawn.sounds.push_back(sound);
    return drawn;
}

DrawnNeighbour draw_fan(const Surroundings& around, Random& random) {
    const int blades = random.between(5, 9);
    const double shaft_hz = random.log_uniform(12.0, 60.0);
    DrawnNeighbour drawn;
    drawn.what = "a fan of " + std::to_string(blades) + " blades";
    NeighbourSound sound;
    sound.hz = shaft_hz * blades;
    const int tones_of_blades = random.between(2, 12);
    const double fall_db = random.uniform(2.0, 6.0);
    sound.partials = harmonics(sound.hz, tones_of_blades, fall_db, 4.0, around, random);
    // An unbalance modulates the blades' tones at the shaft's rate (common practice).
    const double side_db = -random.uniform(8.0, 26.0);
    const auto tones = sound.partials;
    for (const Partial& tone : tones) {
        const int sides = random.between(0, 2);
        for (int side = 1; side <= sides; ++side)
            for (const int sign : {-1, 1})
                sound.partials.push_back({tone.multiple + static_cast<double>(sign * side) / blades, 0.0,
                                          tone.level_db + side * side_db + 4.0 * random.normal()});
    }
    sound.movement.sway = random.log_uniform(1e-3, 1e-2);
    sound.movement.sway_seconds = random.log_uniform(0.5, 4.0);
    sound.movement.trend = 0.3 * sound.movement.sway;
    sound.movement.between = random.log_uniform(5e-4, 1e-2);
    sound.movement.flutter = 0.25;
    drawn.sounds.push_back(sound);
    return drawn;
}

DrawnNeighbour draw_motor(const Surroundings& around, Random& random) {
    // Common practice: 40 to 200 turns a second, 3, 5 or 7 commutator bars, torque ripple at twice as many a turn;
    // toothbrushes and pumps shake at 40 to 350 Hz; gears mesh higher.
    enum Kind { brushed, shaking, geared };
    constexpr const char* names[] = {"a brushed motor", "a toothbrush or a pump", "a drill's gear"};
    constexpr int bars[] = {3, 5, 7};
    const int kind = random.below(3);
    const double turns_hz = random.log_uniform(40.0, 200.0);
    const int ripple = 2 * random.pick(bars);
    DrawnNeighbour drawn;
    drawn.what = names[kind];
    NeighbourSound sound;
    sound.hz = kind == brushed   ? turns_hz * ripple
               : kind == shaking ? random.log_uniform(40.0, 350.0)
                                 : turns_hz * random.between(6, 20);
    const int most = random.between(2, 12);
    const double fall_db = random.uniform(1.0, 7.0);
    sound.partials = harmonics(sound.hz, most, fall_db, 6.0, around, random);
    if (kind == brushed && random.chance(0.5)) {
        const auto tones = sound.partials;
        const double side_db = -random.uniform(10.0, 25.0);
        for (const Partial& tone : tones)
            for (const double side : {-2.0 / ripple, 2.0 / ripple})
                sound.partials.push_back({tone.multiple + side, 0.0, tone.level_db + side_db});
    }
    sound.movement.sway = random.log_uniform(1e-4, 5e-2);
    sound.movement.sway_seconds = random.log_uniform(0.3, 5.0);
    sound.movement.trend = random.chance(0.5) ? sound.movement.sway : 0.0;
    sound.movement.between = random.log_uniform(3e-3, 5e-2);
    sound.movement.flutter = 0.15;
    drawn.sounds.push_back(sound);
    return drawn;
}

DrawnNeighbour draw_charger(const Surroundings& around, Random& random) {
    DrawnNeighbour drawn;
    drawn.what = "a charger";
    const double first_hz = random.log_uniform(2500.0, 17000.0);
    const int lines = random.between(1, 2);
    for (int line = 0; line < lines; ++line) {
        NeighbourSound sound;
        // The second is the harmonic, or a second stage with an oscillator of its own.
        const bool harmonic = line == 1 && 2.0 * first_hz < around.band.high_hz && random.chance(0.5);
        sound.hz = line == 0 ? first_hz : random.log_uniform(2500.0, 17000.0);
        sound.partials = {{1.0, 0.0, line == 0 ? 0.0 : -random.uniform(0.0, 12.0)}};
        if (harmonic) {
            drawn.sounds[0].partials.push_back({2.0, 0.0, -random.uniform(0.0, 15.0)});
            continue;
        }
        // The ripple of its reservoir modulates it, 0.2 to 1.2 deep (common practice): each side m/2 of the carrier.
        const double side_db = 20.0 * std::log10(0.5 * random.uniform(0.2, 1.2));
        const int sides = random.between(1, 3);
        for (int side = 1; side <= sides; ++side)
            for (const int sign : {-1, 1})
                sound.partials.push_back(
                    {1.0, 2.0 * sign * side,
                     sound.partials[0].level_db + side_db - 8.0 * (side - 1) + 2.0 * random.normal()});
        sound.movement.sway = random.log_uniform(2e-5, 3e-3);
        sound.movement.sway_seconds = random.uniform(1.0, 5.0);
        sound.movement.trend = random.log_uniform(1e-5, 2e-3);
        sound.movement.between = random.log_uniform(1e-3, 2e-2);
        sound.movement.flutter = 0.1;
        drawn.sounds.push_back(sound);
    }
    return drawn;
}

}  // namespace tattletone::scenes
