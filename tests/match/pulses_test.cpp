// Noise that comes and goes at a declared pace. Referee of DETECTION.md 12.4 and MODEL.md 27.

#include <catch2/catch.hpp>

#include <cmath>
#include <cstdio>
#include <numbers>

#include "match/cases.h"
#include "match/declared_pulses.h"
#include "match/model/parameters.h"
#include "support/names.h"
#include "support/random.h"
#include "tones/find_tones.h"

using namespace tattletone;
using namespace tattletone::cases;
using scenes::Random;

namespace {

constexpr double fs = 48000.0;

/// White noise, of which `depth` comes and goes at `pace_hz` (0: none), on for a share `duty` of the time.
Recording pulsing(double pace_hz, double depth, double duty, double seconds, Random& random) {
    Recording recording;
    recording.sample_rate_hz = fs;
    recording.origin = "made";
    for (std::size_t i = 0; i < static_cast<std::size_t>(seconds * fs); ++i) {
        const double turns = static_cast<double>(i) / fs * pace_hz;
        const bool on = pace_hz > 0.0 && turns - std::floor(turns) < duty;
        recording.samples.push_back(static_cast<float>(1e-3 * random.normal() * (on ? 1.0 + depth : 1.0)));
    }
    return recording;
}

const Board slow_rates =
    Board().states({"on", "off"}).rate("refresh", 31.25, 100, Shape::pulse, {0}).rate("gauge", 47.0, 50);

std::vector<PulsedRate> told(const std::vector<Take>& takes, const Tones* room = nullptr) {
    return match::declared_pulses(slow_rates.sheet(), unite(takes, room), fitted_parameters());
}

Take take_of(const Recording& recording, const std::string& state = "") {
    Take take;
    take.path = "take";
    take.state = state;
    take.found = find_tones(recording);
    return take;
}

}  // namespace

TEST_CASE("noise that comes and goes is told with its pace, as unsure as it is", "[statistics]") {
    Random random(20261129);
    double square = 0.0;
    int found = 0;
    constexpr int trials = 40;
    for (int i = 0; i < trials; ++i) {
        const double hz = 31.25 * (1.0 + random.uniform(-5e-5, 5e-5));
        const auto pulsed = told({take_of(pulsing(hz, 0.5, 0.3, 6.0, random))});
        if (pulsed.size() != 1 || pulsed[0].rate != "refresh") continue;
        ++found;
        const double clock_sd = 1e-6 * fitted_parameters().card_sd_ppm * hz;
        const double own_sd = std::sqrt(pulsed[0].hz_sd * pulsed[0].hz_sd - clock_sd * clock_sd);
        square += std::pow((pulsed[0].hz - hz) / own_sd, 2);
    }
    std::printf("pulses: found %d of %d, errors %.2f of the told sd\n", found, trials, std::sqrt(square / found));
    CHECK(found > 36);
    CHECK(std::sqrt(square / found) > 0.6);
    CHECK(std::sqrt(square / found) < 1.5);
}

TEST_CASE("noise that does not has no pace", "[statistics]") {
    Random random(7);
    int lines = 0;
    constexpr int trials = 200;
    for (int i = 0; i < trials; ++i) lines += !find_tones(pulsing(0.0, 0.0, 0.5, 5.0, random)).pulses.empty();
    std::printf("pulses in noise: %d of %d\n", lines, trials);
    CHECK(lines <= 3);
}

TEST_CASE("two tones that beat are no pulses, and what the room or a state of rest has tells nothing") {
    Random random(3);
    Recording beat = pulsing(0.0, 0.0, 0.5, 5.0, random);
    for (std::size_t i = 0; i < beat.samples.size(); ++i) {
        const double t = 2.0 * std::numbers::pi * static_cast<double>(i) / fs;
        beat.samples[i] += static_cast<float>(0.02 * (std::sin(3000.0 * t) + std::sin(3031.25 * t)));
    }
    CHECK(find_tones(beat).pulses.empty());

    const Take pulse = take_of(pulsing(31.25, 1.0, 0.3, 5.0, random));
    REQUIRE(told({pulse}).size() == 1);
    CHECK(told({pulse})[0].odds > 5.0);
    CHECK(told({pulse}, &pulse.found).empty());
    CHECK(told({take_of(pulsing(31.25, 1.0, 0.3, 5.0, random), "on")}).size() == 1);
    CHECK(told({take_of(pulsing(31.25, 1.0, 0.3, 5.0, random), "off")}).empty());
    CHECK(told({take_of(pulsing(31.9, 1.0, 0.3, 5.0, random))}).empty());  // 2 % off
    // A lamp's.
    CHECK(match::declared_pulses(Board().rate("lamp", 100.0, 100).sheet(),
                                 unite({take_of(pulsing(100.0, 1.0, 0.3, 5.0, random))}, nullptr), fitted_parameters())
              .empty());
}

TEST_CASE("a pace that fits multiplies the odds of its rate, and is among its reasons") {
    Take take = cases::take({tone(31.25 * 40, 14)});
    const auto without = diagnose(&slow_rates.sheet(), unite({take}, nullptr));
    take.found.pulses = {{31.2502, 0.001}, {62.5, 0.002}};
    const auto with = diagnose(&slow_rates.sheet(), unite({take}, nullptr));
    REQUIRE(with.pulses.size() == 1);
    CHECK(with.pulses[0].lines == 2);
    const double before = probability(without, "refresh"), after = probability(with, "refresh");
    CHECK(after > before);
    REQUIRE(!with.suspects.empty());
    CHECK(std::any_of(with.suspects[0].reasons.begin(), with.suspects[0].reasons.end(), [](const std::string& reason) {
        return reason.find("comes and goes at its pace") != std::string::npos;
    }));
}
