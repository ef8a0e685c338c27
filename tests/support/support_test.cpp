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
