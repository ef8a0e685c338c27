// Neighbours with a clock, an oscillator or a tune of their own.

#include <algorithm>
#include <cmath>
#include <cstdio>

#include "scenes/neighbour_sounds.h"
#include "support/names.h"

namespace tattletone::scenes {

namespace {

/// What crystals of devices that are not the board divide down to.
double draw_common_rate_hz(Random& random) {
    // USB's frames and microframes (USB 2.0), rates of a PAL line and of frames of screens, GSM's frame (3GPP
    // TS 45.002: 120 ms / 26), beepers of 32.768 kHz watches and their divisions.
    constexpr double common[] = {1000.0, 8000.0, 15625.0, 60.0,  59.94, 75.0,  120.0, 216.6667,
                                 2048.0, 4096.0, 1024.0,  512.0, 256.0, 128.0, 64.0};
    if (random.chance(0.6)) return random.pick(common);
    constexpr double clocks_hz[] = {8e6, 12e6, 16e6, 24e6, 26e6, 32.768e3, 25e6, 48e6, 27e6};
    const double clock_hz = random.pick(clocks_hz);
    return clock_hz / std::max(2.0, std::floor(clock_hz / random.log_uniform(150.0, 16000.0)));
}

/// Two standard deviations of ±20 ppm (common practice for crystals of consumer devices).
double with_crystal_error(double hz, Random& random) {
    return hz * (1.0 + 10e-6 * random.cut_normal(2.0));
}

NeighbourSound crystal_comb(double hz, int most, const Surroundings& around, Random& random) {
    NeighbourSound sound;
    sound.hz = hz;
    sound.partials = harmonics(hz, most, random.uniform(0.0, 5.0), 6.0, around, random);
    // Of low rates the first orders are radiated by nothing that is small.
    for (Partial& partial : sound.partials)
        partial.level_db -= 10.0 * std::log10(1.0 + std::pow(1000.0 / (partial.multiple * hz), 2.0));
    sound.movement.between = 2e-7;
    return sound;
}

std::string hertz(double hz) {
    char text[32];
    std::snprintf(text, sizeof text, "%.7g Hz", hz);
    return text;
}

NeighbourSound drifting(double hz, Timing timing, int most, const Surroundings& around, Random& random) {
    NeighbourSound sound;
    sound.hz = hz;
    sound.partials = harmonics(hz, most, random.uniform(1.0, 6.0), 5.0, around, random);
    Movement& movement = sound.movement;
    if (timing == Timing::resistor_capacitor) {
        // 0.01 to 0.1 % a kelvin (common practice), and some tenths of a kelvin in a recording.
        movement = {random.log_uniform(1e-5, 3e-4), random.uniform(2.0, 15.0), random.log_uniform(2e-5, 5e-4)};
        movement.between = random.log_uniform(1e-4, 3e-3);
    } else {
        // As a wandering rate of the boards does.
        movement = {random.log_uniform(5e-4, 5e-3), random.uniform(1.0, 5.0), random.log_uniform(1e-3, 3e-2)};
        movement.between = random.log_uniform(3e-3, 5e-2);
    }
    movement.flutter = 0.05;
    return sound;
}

}  // namespace

bool beside_all_rates(const BoardSheet& sheet, double hz) {
    return std::none_of(sheet.rates.begin(), sheet.rates.end(),
                        [hz](const Rate& rate) { return !rate.wanders() && std::abs(hz / rate.hz - 1.0) < 0.003; });
}

DrawnNeighbour draw_clocked(const Surroundings& around, Random& random) {
    double hz = draw_common_rate_hz(random);
    while (!around.assumptions.may_have_a_declared_rate && !beside_all_rates(around.sheet, hz))
        hz = draw_common_rate_hz(random);
    DrawnNeighbour drawn;
    drawn.what = "a clock of " + hertz(hz);
    // A screen's refresh is heard in dozens of orders, a beeper in a few.
    const int most = hz < 130.0 ? random.between(12, 60) : random.between(1, 12);
    drawn.sounds = {crystal_comb(with_crystal_error(hz, random), most, around, random)};
    return drawn;
}

DrawnNeighbour draw_beside(const Surroundings& around, Random& random) {
    std::vector<double> crystals_hz;
    for (std::size_t i = 0; i < around.sheet.rates.size(); ++i)
        if (around.timing[i] == Timing::crystal && 2.2 * around.sheet.rates[i].hz < around.band.high_hz)
            crystals_hz.push_back(around.sheet.rates[i].hz);
    DrawnNeighbour drawn;
    if (crystals_hz.empty()) return drawn;
    const double declared_hz = random.pick(crystals_hz);
    double off = 0.0;
    for (int tries = 0; tries < 100; ++tries) {
        off = random.log_uniform(around.assumptions.beside_low, around.assumptions.beside_high);
        if (random.chance(0.5)) off = -off;
        if (beside_all_rates(around.sheet, declared_hz * (1.0 + off))) break;
    }
    char text[80];
    std::snprintf(text, sizeof text, "a crystal's comb %+.2f %% beside the declared %.7g Hz", 100.0 * off, declared_hz);
    drawn.what = text;
    drawn.sounds = {crystal_comb(declared_hz * (1.0 + off), random.between(2, 12), around, random)};
    return drawn;
}

DrawnNeighbour draw_television(const Surroundings& around, Random& random) {
    // 4.5 MHz / 286 (SMPTE 170M) and 625 lines of 25 Hz (ITU-R BT.1700).
    constexpr double line_rates_hz[] = {15625.0, 4.5e6 / 286.0};
    int which = random.below(2);
    if (!around.assumptions.may_have_a_declared_rate && !beside_all_rates(around.sheet, line_rates_hz[which]))
        which = 1 - which;
    DrawnNeighbour drawn;
    drawn.what = "a television's " + hertz(line_rates_hz[which]);
    NeighbourSound sound;
    sound.hz = with_crystal_error(line_rates_hz[which], random);
    sound.partials = {{1.0, 0.0, 0.0}};
    // Interlaced pictures leave half the rate in some transformers (heard in a clip of rain of ESC-10).
    if (random.chance(0.1)) sound.partials.push_back({0.5, 0.0, -random.uniform(3.0, 15.0)});
    sound.movement.between = 1e-6;
    sound.movement.flutter = 0.01;
    drawn.sounds = {sound};
    return drawn;
}

DrawnNeighbour draw_notes(const Surroundings& around, Random& random) {
    const double tuning_hz = 440.0 * (1.0 + 0.003 * random.normal());
    const bool vibrato = random.chance(0.5);
    // A singer's or a tremulant's: 5 to 7 Hz by 0.1 to 0.6 % (common practice).
    const double depth = vibrato ? random.log_uniform(1e-3, 6e-3) : 0.0, beat_hz = random.uniform(5.0, 7.0);
    const double brightness_db = random.uniform(2.0, 12.0);
    const int chords = random.chance(0.5) ? 1 : random.between(2, 5);
    DrawnNeighbour drawn;
    drawn.what = std::string(chords > 1 ? "chords" : "a held chord") + (vibrato ? " with vibrato" : "");
    drawn.new_each_time = random.chance(0.5);
    for (int chord = 0; chord < chords; ++chord) {
        const int notes = random.between(1, 4);
        int semitone = random.between(-21, 12);
        for (int note = 0; note < notes; ++note, semitone += random.between(3, 7)) {
            NeighbourSound sound;
            sound.hz = tuning_hz * std::exp2(semitone / 12.0);
            sound.partials = harmonics(sound.hz, random.between(3, 8), brightness_db, 5.0, around, random);
            const double louder_db = 3.0 * random.normal();
            for (Partial& partial : sound.partials) partial.level_db += louder_db;
            sound.movement.vibrato = depth;
            sound.movement.vibrato_hz = beat_hz;
            sound.movement.sway = random.log_uniform(1e-6, 1e-4);
            sound.movement.flutter = vibrato ? 0.1 : 0.02;
            sound.from_share = static_cast<double>(chord) / chords;
            sound.to_share = static_cast<double>(chord + 1) / chords;
            drawn.sounds.push_back(sound);
        }
    }
    return drawn;
}

DrawnNeighbour draw_oscillator(const Surroundings& around, Random& random) {
    DrawnNeighbour drawn;
    if (random.chance(0.5)) {
        const double hz = random.log_uniform(100.0, 6000.0);
        drawn.what = "a lamp dimmed at " + hertz(hz);
        drawn.sounds = {drifting(hz, Timing::resistor_capacitor, random.between(1, 12), around, random)};
        return drawn;
    }
    double low_hz = 1500.0, high_hz = 17000.0;
    for (const Rate& rate : around.sheet.rates) {
        if (!rate.wanders() || random.chance(0.3)) continue;
        low_hz = rate.hz_min;
        high_hz = std::min(rate.hz_max, 0.8 * around.band.high_hz);
    }
    const double hz = random.log_uniform(low_hz, high_hz);
    drawn.what = "another converter near " + hertz(hz);
    drawn.sounds = {drifting(hz, Timing::wandering, random.between(1, 3), around, random)};
    return drawn;
}

}  // namespace tattletone::scenes
