// Whether the level of a moving line tells from how far it comes: a board's at the microphone, a neighbour's across a
// room whose decay time is known.

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

#include "scenes/reverberation.h"
#include "support/names.h"
#include "support/scene.h"
#include "support/signals.h"
#include "tones/find_tones.h"
#include "tones/judge/level_swing.h"

using namespace tattletone;
using namespace tattletone::scenes;

namespace {

/// A line that sweeps to and fro by `reach_hz`, in noise 50 dB-Hz under it.
Recording sweeping(double reach_hz, Random& random, const Reverberation* room) {
    constexpr double fs = 48000.0;
    Signal signal(static_cast<std::size_t>(10.0 * fs));
    Path hz = constant_path(signal.size(), 6000.0), amplitude(hz.size(), 0.01);
    for (std::size_t i = 0; i < hz.size(); ++i)
        hz[i] +=
            0.5 * reach_hz * std::sin(2.0 * std::numbers::pi * 0.11 * static_cast<double>(i) * control_samples / fs);
    add_line(signal, fs, hz, 1.0, amplitude, 0.3);
    if (room) room->run(signal);
    const double noise_rms = 0.01 / std::numbers::sqrt2 * std::sqrt(1e-5 * 0.5 * fs);
    for (double& value : signal) value += noise_rms * random.normal();
    Recording recording;
    recording.sample_rate_hz = fs;
    recording.samples = quantise_16_bit(signal);
    return recording;
}

/// Of the clearest moving tone; -1 where it tells nothing.
double swing_of(const Recording& recording) {
    const Tones found = find_tones(recording);
    const Tone* clearest = nullptr;
    for (const Tone& tone : found.tones)
        if (!tone.steady && (!clearest || tone.tone_to_noise_db > clearest->tone_to_noise_db)) clearest = &tone;
    REQUIRE(clearest);
    const auto swing = level_swing(*clearest, found);
    return swing ? swing->db : -1.0;
}

}  // namespace

TEST_CASE("a line's level swings while it moves through a room, and hardly at the microphone") {
    Random random(11);
    double least_far = 99.0, mean_far = 0.0;
    int told = 0;
    for (int i = 0; i < 8; ++i) {
        const Reverberation room(48000.0, 0.5, -12.0, random);
        const double far = swing_of(sweeping(100.0, random, &room));
        if (far < 0.0) continue;  // the path broke where the room left nothing of the line
        ++told;
        least_far = std::min(least_far, far);
        mean_far += far;
    }
    REQUIRE(told >= 5);
    mean_far /= told;
    // Schroeder 1962: 5.6 dB; a frame in which the line passes several peaks has less.
    CHECK(least_far > 2.0);
    CHECK(mean_far > 3.0);
    CHECK(mean_far < 6.5);
    const double near = swing_of(sweeping(100.0, random, nullptr));
    CHECK(near >= 0.0);
    CHECK(near < 0.3);
}

TEST_CASE("a line that stands still, or that noise hides, tells nothing of its level's swing") {
    Random random(12);
    Tone tone;
    tone.hz = 6000.0;
    tone.steady = false;
    Tones found;
    found.floor = {{100.0, -120.0, -100.0, -95.0}, {20000.0, -120.0, -100.0, -95.0}};
    const auto with = [&](double step_hz, double level_dbfs) {
        tone.history.clear();
        for (int i = 0; i < 60; ++i)
            tone.history.push_back({0.1 * i, 6000.0 + step_hz * i, level_dbfs + 3.0 * random.normal()});
        return level_swing(tone, found);
    };
    CHECK_FALSE(with(0.01, -60.0));
    CHECK_FALSE(with(5.0, -112.0));
    REQUIRE(with(5.0, -60.0));
    CHECK(with(5.0, -60.0)->db == Approx(3.0).margin(1.0));
    CHECK(with(5.0, -60.0)->places == Approx(1.0 + 59.0 * 5.0 / 8.0).margin(1.5));
}
