#include "spectrum/periodogram.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <numeric>
#include <vector>

#include "spectrum/window.h"
#include "support/names.h"
#include "support/random.h"

using namespace tattletone;

namespace {

std::vector<float> white_noise(std::size_t size, double rms, std::uint64_t seed) {
    scenes::Random random(seed);
    std::vector<float> samples(size);
    for (float& x : samples) x = static_cast<float>(rms * random.normal());
    return samples;
}

double power_between(const std::vector<double>& density, double bin_hz, std::size_t first, std::size_t last) {
    double sum = 0.0;
    for (std::size_t k = first; k <= last; ++k) sum += density[k] * bin_hz;
    return sum;
}

}  // namespace

TEST_CASE("white noise of variance s² reads s² / (fs / 2)") {
    // Check value 2.35: rms 0.05 at 48 kHz is 1.0417e-7 per Hz.
    const std::uint64_t seed = 11;
    INFO("seed " << seed);
    const std::vector<float> samples = white_noise(960000, 0.05, seed);
    for (const std::size_t frame : {512u, 4096u, 19200u}) {
        INFO("frame " << frame);
        const std::vector<double> density = welch_density(samples, 48000.0, frame);
        REQUIRE(density.size() == frame / 2 + 1);
        const double mean =
            std::accumulate(density.begin() + 2, density.end() - 2, 0.0) / static_cast<double>(density.size() - 4);
        // 960 000 samples tell a variance to 0.15 %; the frames' overlap costs little of it.
        CHECK(mean == Approx(1.0417e-7).epsilon(0.006));
        const double square = std::inner_product(samples.begin(), samples.end(), samples.begin(), 0.0) /
                              static_cast<double>(samples.size());
        CHECK(power_between(density, 48000.0 / static_cast<double>(frame), 0, density.size() - 1) ==
              Approx(square).epsilon(0.006));
    }
}

TEST_CASE("a sine's power is what its main lobe holds, on a bin and between two") {
    constexpr double rate_hz = 48000.0, amplitude = 0.3;
    constexpr std::size_t frame = 4096;
    for (const double bin : {200.0, 200.25, 200.5, 873.9, 1900.37}) {
        INFO("bin " << bin);
        std::vector<float> samples(4 * frame);
        for (std::size_t n = 0; n < samples.size(); ++n)
            samples[n] = static_cast<float>(
                amplitude * std::cos(2.0 * std::numbers::pi * bin / frame * static_cast<double>(n) + 0.7));
        const std::vector<double> density = welch_density(samples, rate_hz, frame);
        const auto centre = static_cast<std::size_t>(std::lround(bin));
        const double power = power_between(density, rate_hz / frame, centre - 3, centre + 3);
        // Hann's side lobes beyond three bins hold less than 1/1000.
        CHECK(power == Approx(0.5 * amplitude * amplitude).epsilon(0.001));
    }
}

TEST_CASE("a constant and the highest frequency have one side only") {
    constexpr std::size_t frame = 1024;
    std::vector<float> constant(4 * frame, 0.25f), highest(4 * frame);
    for (std::size_t n = 0; n < highest.size(); ++n) highest[n] = n % 2 == 0 ? 0.25f : -0.25f;
    const double bin_hz = 8000.0 / frame;
    const auto low = welch_density(constant, 8000.0, frame), high = welch_density(highest, 8000.0, frame);
    // A third of a Hann line's power lies in the two neighbours; at the edge only one of the two is
    // there, with both sides' power.
    CHECK(power_between(low, bin_hz, 0, 4) == Approx(0.0625).epsilon(1e-5));
    CHECK(power_between(high, bin_hz, frame / 2 - 4, frame / 2) == Approx(0.0625).epsilon(1e-5));
}

TEST_CASE("frames overlap by half, cover what fits, and know their times") {
    constexpr std::size_t frame = 480;
    for (const auto& [samples, count] : {std::pair{479u, 0u}, {480u, 1u}, {719u, 1u}, {720u, 2u}, {4800u, 19u}}) {
        INFO(samples << " samples");
        const Frames frames = frame_spectra(std::vector<float>(samples, 0.1f), 4800.0, frame);
        CHECK(frames.count == count);
        CHECK(frames.bins == frame / 2 + 1);
        CHECK(frames.rows.size() == count * (frame / 2 + 1));
        CHECK(frames.bin_hz == Approx(10.0));
        CHECK(frames.centre_seconds(0) == Approx(0.05));
        CHECK(frames.centre_seconds(3) == Approx(0.2));
    }
    CHECK(welch_density(std::vector<float>(479), 4800.0, frame).empty());
    // Each row is its own frame: a click shows in the two frames that hold it and in no other.
    std::vector<float> click(4800);
    click[1000] = 1.0f;  // frame m begins at 240 m: in 3 (720 … 1199) and 4 (960 … 1439)
    const Frames frames = frame_spectra(click, 4800.0, frame);
    for (std::size_t m = 0; m < frames.count; ++m) {
        const auto row = frames.row(m);
        CHECK((std::accumulate(row.begin(), row.end(), 0.0f) > 0.0f) == (m == 3 || m == 4));
    }
}

TEST_CASE("effective averages of half-overlapping Hann frames") {
    // 18 K² / (19 K - 1); Percival and Walden 1993, section 6.17. 36 K² / (19 K - 1), often printed
    // as the number of averages, is the degrees of freedom.
    for (const auto& [frames, averages] : {std::pair{2, 1.946}, {4, 3.840}, {10, 9.524}, {20, 18.997}, {100, 94.79}}) {
        INFO(frames << " frames");
        CHECK(effective_averages(frames) == Approx(averages).margin(frames == 100 ? 0.006 : 0.0006));
        // Welch 1967: variance of a mean of K with correlation ρ² between neighbours only.
        const double rho = overlap_correlation(hann_window, 0.5), k = frames;
        CHECK(effective_averages(frames) == Approx(k / (1.0 + 2.0 * rho * rho * (k - 1.0) / k)).epsilon(1e-5));
    }
    CHECK(effective_averages(1) == Approx(1.0));
    CHECK(effective_averages(0) == 0.0);
}

TEST_CASE("an average of frames scatters as the effective averages say") {
    const std::uint64_t seed = 5;
    INFO("seed " << seed);
    constexpr std::size_t frame = 1024, rounds = 40;
    double relative_square = 0.0, counted = 0.0;
    for (std::size_t round = 0; round < rounds; ++round) {
        const auto density = welch_density(white_noise(frame / 2 * 11, 1.0, seed + round), 2.0, frame);
        for (std::size_t k = 4; k + 4 < density.size(); ++k) {
            relative_square += (density[k] - 1.0) * (density[k] - 1.0);
            counted += 1.0;
        }
    }
    // 20 000 values, of which Hann makes neighbours alike: good to 2 %.
    CHECK(counted / relative_square == Approx(effective_averages(10)).epsilon(0.07));
}
