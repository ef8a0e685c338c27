#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "support/names.h"
#include "support/scene.h"
#include "support/signals.h"

using namespace tattletone::scenes;

// The simulator is what everything else is measured with, so it is measured first.

TEST_CASE("xoshiro256** gives the published sequence") {
    // Reference: the authors' C code (prng.di.unimi.it/xoshiro256starstar.c), worked by hand from its
    // definition: with s[1] = 0 the first result is 0; splitmix64(0) starts 0xe220a8397b1dcdaf.
    Random zero(0);
    // s[1] of splitmix64 seeded with 0 is its second output, 0x6e789e6aa1b965f4 (published test vector).
    const std::uint64_t s1 = 0x6e789e6aa1b965f4u, five = s1 * 5;
    CHECK(zero.bits() == ((five << 7) | (five >> 57)) * 9);
}

TEST_CASE("normal numbers have the moments of a normal distribution") {
    Random random(12);
    double sum = 0, square = 0, fourth = 0;
    constexpr int count = 200000;
    for (int i = 0; i < count; ++i) {
        const double x = random.normal();
        sum += x;
        square += x * x;
        fourth += x * x * x * x;
    }
    CHECK(std::abs(sum / count) < 4.0 / std::sqrt(count));
    CHECK(std::abs(square / count - 1.0) < 4.0 * std::sqrt(2.0 / count));
    CHECK(std::abs(fourth / count - 3.0) < 4.0 * std::sqrt(96.0 / count));
}

TEST_CASE("a noise source has the density it states") {
    constexpr double fs = 48000.0, hz = 3000.0;
    const NoiseSource source{0.1, {Biquad::first_order_low_pass(1500.0, fs), Biquad::peak(3000.0, 1.0, 6.0, fs)}};
    Random random(3);
    std::vector<double> signal(480000);
    source.add_to(signal, random);
    // Averaged periodogram at one frequency by its definition; 400 blocks give 5 %.
    constexpr std::size_t block = 1200;
    double power = 0.0;
    for (std::size_t at = 0; at + block <= signal.size(); at += block) {
        double re = 0.0, im = 0.0;
        for (std::size_t i = 0; i < block; ++i) {
            const double angle = 2.0 * std::numbers::pi * hz * static_cast<double>(i) / fs;
            re += signal[at + i] * std::cos(angle);
            im += signal[at + i] * std::sin(angle);
        }
        power += 2.0 * (re * re + im * im) / (fs * block);
    }
    power /= static_cast<double>(signal.size() / block);
    CHECK(std::abs(10.0 * std::log10(power / source.density(hz, fs))) < 0.8);
}

TEST_CASE("the critical band of ECMA-418-1") {
    // Printed examples of clause 10: 117.3 Hz at 500 Hz, 162.2 Hz at 1 kHz.
    CHECK(critical_band_hz(500.0) == Approx(117.3).margin(0.05));
    CHECK(critical_band_hz(1000.0) == Approx(162.2).margin(0.05));
}

TEST_CASE("a line has its frequency and level") {
    constexpr double fs = 44100.0;
    std::vector<double> signal(44100);
    add_line(signal, fs, 1234.5, 0.25, 0.3);
    double worst = 0.0;
    for (std::size_t i = 0; i < signal.size(); ++i)
        worst = std::max(
            worst,
            std::abs(signal[i] - 0.25 * std::cos(2.0 * std::numbers::pi * 1234.5 * static_cast<double>(i) / fs + 0.3)));
    CHECK(worst < 1e-9);
}

TEST_CASE("the same seed makes the same scene, another seed another") {
    const Scene a = make_scene(41), b = make_scene(41), c = make_scene(42);
    CHECK(a.takes[0].recording.samples == b.takes[0].recording.samples);
    CHECK(a.takes[0].recording.samples != c.takes[0].recording.samples);
    CHECK(a.story == b.story);
}

TEST_CASE("scenes hold what their kind says and rates keep their tolerance") {
    Assumptions assumptions;
    assumptions.seconds = 1.0;
    assumptions.codec_share = 0.0;
    for (std::uint64_t seed = 100; seed < 220; ++seed) {
        const Scene scene = make_scene(seed, assumptions);
        INFO(scene.story);
        CHECK(scene.sheet.rates.size() >= 3);
        CHECK(scene.takes.size() == (scene.kind == SceneKind::states ? 2u : 1u));
        CHECK(scene.undeclared == (scene.kind == SceneKind::undeclared));
        CHECK(scene.lines.empty() == (scene.kind == SceneKind::quiet || (scene.singing.empty() && !scene.undeclared)));
        for (const TrueLine& line : scene.lines) {
            CHECK(line.hz < 0.5 * scene.takes[0].recording.sample_rate_hz);
            CHECK(line.tone_to_noise_db < 24.1);
            if (line.rate < 0) continue;
            const auto& rate = scene.sheet.rates[static_cast<std::size_t>(line.rate)];
            if (rate.wanders()) continue;
            const double off = std::abs(line.hz / (line.multiple * rate.hz) - 1.0);
            CHECK(off < 1e-6 * rate.tolerance_ppm + 400e-6 + (rate.tolerance_ppm > 6000 ? 2e-3 : 0.0));
        }
    }
}

TEST_CASE("a hand sways and trembles") {
    Random random(5);
    const Handling handling = draw_handling(48000 * 60, 48000.0, random);
    double square = 0.0, highest = 0.0, lowest = 9.0;
    for (std::size_t i = 1; i < handling.frequency.size(); ++i) {
        square += std::pow(handling.frequency[i] - 1.0, 2.0);
        highest = std::max(highest, handling.pressure[i]);
        lowest = std::min(lowest, handling.pressure[i]);
    }
    // A sway of 5 to 15 mm at 0.15 Hz moves by 5 to 14 mm/s, a tremor of 0.05 mm at 7 Hz by 2.2 mm/s at its peak.
    const double doppler = std::sqrt(square / static_cast<double>(handling.frequency.size()));
    CHECK(doppler * 343.0 > 0.003);
    CHECK(doppler * 343.0 < 0.03);
    CHECK(highest > 1.2);
    CHECK(lowest < 0.9);
}

TEST_CASE("noise suppression takes what lasts, and leaves what begins") {
    Random random(6);
    const double fs = 48000.0;
    Signal noise(static_cast<std::size_t>(8.0 * fs));
    for (double& value : noise) value = 0.01 * random.normal();
    Signal louder = noise;
    for (std::size_t i = 6 * 48000; i < 6 * 48000 + 24000; ++i)
        louder[i] += 0.3 * std::sin(2.0 * std::numbers::pi * 1000.0 * static_cast<double>(i) / fs);
    const auto power = [](const Signal& of, std::size_t from, std::size_t to) {
        double sum = 0.0;
        for (std::size_t i = from; i < to; ++i) sum += of[i] * of[i];
        return sum / static_cast<double>(to - from);
    };
    const double before = power(noise, 4 * 48000, 6 * 48000), with_tone = power(louder, 290000, 310000);
    suppress_noise(noise, fs);
    suppress_noise(louder, fs);
    const double taken_db = 10.0 * std::log10(before / power(noise, 4 * 48000, 6 * 48000));
    CHECK(taken_db > 4.0);
    CHECK(taken_db < 15.1);
    CHECK(power(louder, 290000, 310000) == Approx(with_tone).epsilon(0.1));
}

TEST_CASE("a pulse of changing duty: what its harmonics have") {
    Random random(7);
    for (int i = 0; i < 20; ++i)
        for (const double duty : draw_duty(48000 * 5, 48000.0, random)) {
            CHECK(duty >= 0.0999);
            CHECK(duty <= 0.9001);
        }
}

TEST_CASE("hardships: the board, its room and who sings stay the same") {
    Assumptions plain;
    plain.kind = SceneKind::culprit;
    plain.culprit = Timing::crystal;
    for (int i = 1; i < hardships; ++i) {
        Assumptions hard = plain;
        hard.hardship = static_cast<Hardship>(i);
        const Scene a = make_scene(300001, plain), b = make_scene(300001, hard);
        INFO(name_of(hard.hardship));
        CHECK(a.sheet.rates.size() == b.sheet.rates.size());
        if (hard.hardship == Hardship::under_load) {
            REQUIRE(b.takes.size() == 2);
            for (const int rate : b.singing) CHECK(b.sheet.rates[static_cast<std::size_t>(rate)].active_in.empty());
            CHECK(std::all_of(b.lines.begin(), b.lines.end(),
                              [&](const TrueLine& line) { return line.take == b.lines.front().take; }));
            continue;
        }
        CHECK(a.singing == b.singing);
        CHECK(b.lines.size() == (hard.hardship == Hardship::two_units ? 2 : 1) * a.lines.size());
        CHECK(a.takes[0].recording.samples != b.takes[0].recording.samples);
        if (hard.hardship == Hardship::spread_clock)
            CHECK(b.lines[0].hz == Approx(0.9975 * a.lines[0].hz).epsilon(1e-9));
    }
}
