#include "session/live/listening_window.h"
#include "support/names.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <numeric>

using tattletone::ListeningWindow;

TEST_CASE("the window holds the newest samples, whatever the size of the pieces") {
    for (const std::size_t piece : {1u, 7u, 100u, 333u, 5000u}) {
        ListeningWindow window(100.0, 10.0);
        float next = 0.0f;
        while (next < 12345.0f) {
            std::vector<float> samples(piece);
            std::iota(samples.begin(), samples.end(), next);
            next += static_cast<float>(piece);
            window.add(samples, false);
        }
        const auto held = window.samples();
        REQUIRE(held.size() == 1000);
        for (std::size_t i = 0; i < 1000; ++i) REQUIRE(held[i] == next - 1000.0f + static_cast<float>(i));
        CHECK(static_cast<float>(window.frames_heard()) == next);
    }
}

TEST_CASE("a gap empties it, one before the first sample is none") {
    ListeningWindow window(100.0, 10.0);
    window.add(std::vector<float>(50, 1.0f), true);
    CHECK(window.gaps() == 0);
    window.add(std::vector<float>(30, 2.0f), true);
    CHECK(window.gaps() == 1);
    CHECK(window.samples().size() == 30);
    CHECK(window.frames_heard() == 80);
}

TEST_CASE("levels: a full-scale sine is 0 dBFS, a square 3.01 dB more (AES17, IEC 61606)") {
    ListeningWindow window(48000.0, 1.0);
    CHECK(window.level(0.5).rms_dbfs == -400.0);
    std::vector<float> sine(48000), square(48000);
    for (std::size_t i = 0; i < sine.size(); ++i) {
        sine[i] = static_cast<float>(std::sin(2.0 * std::numbers::pi * 1000.0 * static_cast<double>(i) / 48000.0));
        square[i] = i % 48 < 24 ? 1.0f : -1.0f;
    }
    window.add(sine, false);
    CHECK(window.level(0.5).rms_dbfs == Approx(0.0).margin(0.01));
    CHECK(window.level(0.5).peak_dbfs == Approx(0.0).margin(0.01));
    window.add(square, false);
    CHECK(window.level(0.5).rms_dbfs == Approx(3.01).margin(0.01));
    CHECK(window.level(0.5).clipping);
    for (float& sample : sine) sample *= 0.5f;
    window.add(sine, false);
    CHECK(window.level(0.5).rms_dbfs == Approx(-6.02).margin(0.01));
    CHECK_FALSE(window.level(0.5).clipping);
}

TEST_CASE("three samples in a row at full scale are clipping, two are not") {
    const auto clips = [](std::vector<float> samples) {
        ListeningWindow window(100.0, 10.0);
        window.add(samples, false);
        return window.level(1.0).clipping;
    };
    CHECK_FALSE(clips({0.5f, 1.0f, 1.0f, 0.5f, 1.0f, 1.0f}));
    CHECK(clips({0.5f, 1.0f, 1.0f, 1.0f, 0.5f}));
    CHECK(clips({0.5f, 1.0f, -1.0f, 1.0f, 0.5f}));
    CHECK_FALSE(clips({0.999f, 0.999f, 0.999f, 0.999f}));
}
