#include "tones/detect/noise_floor.h"
#include "support/names.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <vector>

#include "support/random.h"

using namespace tattletone;

namespace {

/// Power of white noise in the bins of one transform: exponential of mean 1 (A. Papoulis,
/// Probability, Random Variables and Stochastic Processes: the square of a complex normal).
std::vector<float> exponential(std::size_t bins, scenes::Random& random) {
    std::vector<float> power(bins);
    for (float& p : power) p = static_cast<float>(-std::log(1.0 - random.uniform()));
    return power;
}

struct Moments {
    double mean = 0.0, sd = 0.0;
};

/// Of the floor of white noise at points that share no block.
Moments floor_of_noise(std::size_t block, int rounds, std::uint64_t seed) {
    scenes::Random random(seed);
    std::vector<double> values;
    const std::size_t bins = 140 * block;
    for (int round = 0; round < rounds; ++round) {
        const NoiseFloor floor(exponential(bins, random), block, 0.0);
        for (std::size_t b = 7; b < 133; b += 9)
            values.push_back(floor.at((static_cast<double>(b) + random.uniform()) * static_cast<double>(block)));
    }
    Moments m;
    for (const double v : values) m.mean += v / static_cast<double>(values.size());
    for (const double v : values) m.sd += (v - m.mean) * (v - m.mean) / static_cast<double>(values.size());
    m.sd = std::sqrt(m.sd);
    return m;
}

}  // namespace

TEST_CASE("the bulk of exponentials is their mean, whatever a few of them are") {
    for (const std::size_t size : {32u, 128u, 1000u}) {
        const std::uint64_t seed = 10 + size;
        scenes::Random random(seed);
        const int rounds = static_cast<int>(2000000 / size);
        double clean = 0.0, quarter = 0.0;
        for (int round = 0; round < rounds; ++round) {
            std::vector<float> power = exponential(size, random);
            clean += bulk_mean(power) / rounds;
            std::fill(power.begin(), power.begin() + static_cast<std::ptrdiff_t>(size / 4), 1e8f);
            quarter += bulk_mean(power) / rounds;
        }
        INFO(size << " values, seed " << seed << ": " << clean << ", with a quarter raised " << quarter);
        CHECK(clean == Approx(1.0).epsilon(0.01));
        // The fixed point of 0.8647 m = ¾ (1 - e^{-2m}) + ¼ 2m is m = 2.02, 3.05 dB.
        CHECK(quarter < 2.05);
    }
    // Of equal values it is no exponential's mean, but scales with them.
    const std::vector<float> ones(64, 1.0f), sevens(64, 7.0f);
    CHECK(bulk_mean(sevens) == Approx(7.0 * bulk_mean(ones)).epsilon(1e-5));
    CHECK(bulk_mean(std::vector<float>(64, 0.0f)) == 0.0);
}

TEST_CASE("the floor of white noise is its mean, and scatters as told") {
    for (const std::size_t block : {32u, 64u, 128u, 256u}) {
        const std::uint64_t seed = 40 + block;
        const Moments m = floor_of_noise(block, 300, seed);
        INFO("block " << block << ", seed " << seed << ": mean " << m.mean << ", sd " << m.sd << ", told "
                      << floor_relative_sd(block));
        CHECK(m.mean == Approx(1.0).epsilon(0.01));
        CHECK(m.sd == Approx(floor_relative_sd(block)).epsilon(0.2));
    }
}

TEST_CASE("a floor does not see lines") {
    const std::uint64_t seed = 8;
    INFO("seed " << seed);
    scenes::Random random(seed);
    std::vector<float> power = exponential(128 * 60, random);
    const NoiseFloor without(power, 128, 0.0);
    std::vector<float> lined = power;
    for (std::size_t k = 50; k < lined.size(); k += 128)  // one line of four bins in every block
        for (std::size_t i = 0; i < 4; ++i) lined[k + i] = 1e6f;
    const NoiseFloor with(lined, 128, 0.0);
    std::vector<float> crowded = power;
    for (std::size_t k = 128 * 30; k < 128 * 30 + 40; ++k) crowded[k] = 1e6f;  // one wide thing
    const NoiseFloor wide(crowded, 128, 0.0);
    for (double bin = 0.0; bin < 128.0 * 60.0; bin += 37.0) {
        // Four of 128 raised: 0.8647 m = 124/128 (1 - e^{-2m}) + 4/128 · 2m has m = 1.065.
        CHECK(with.at(bin) < 1.12 * without.at(bin));
        if (std::abs(bin - 128.0 * 30.5) > 128.0 * 5.0) CHECK(wide.at(bin) == Approx(without.at(bin)));
    }
    // Forty of 128 in one block count as something of its own, and still for 4 dB at most.
    CHECK(wide.at(128.0 * 30.5) < 2.5 * without.at(128.0 * 30.5));
}

TEST_CASE("a floor follows a slope") {
    const std::uint64_t seed = 21;
    INFO("seed " << seed);
    scenes::Random random(seed);
    std::vector<float> power = exponential(128 * 200, random);
    // 20 dB a decade over two decades.
    const auto mean_at = [](double bin) { return std::pow((bin + 256.0) / 25856.0, -2.0); };
    for (std::size_t k = 0; k < power.size(); ++k) power[k] *= static_cast<float>(mean_at(static_cast<double>(k)));
    const NoiseFloor floor(power, 128, 0.0);
    double squares = 0.0;
    int counted = 0;
    for (double bin = 3000.0; bin < 25000.0; bin += 61.0) {
        const double off_db = 10.0 * std::log10(floor.at(bin) / mean_at(bin));
        CHECK(std::abs(off_db) < 1.0);  // four times the floor's own 0.23 dB
        squares += off_db * off_db;
        ++counted;
    }
    CHECK(std::sqrt(squares / counted) < 0.35);
}

TEST_CASE("at a cliff the floor is never so low that its edge looks like lines") {
    // 40 dB at every place within a block. A threshold for 240 000 bins is 20 times the mean; a
    // floor at 0.3 of it is passed by noise as a threshold of 6 would be, in the few bins at the
    // edge.
    for (const std::uint64_t seed : {1u, 2u, 3u, 4u, 5u, 6u, 7u, 8u}) {
        scenes::Random random(seed);
        const double edge = 128.0 * 30.0 + random.uniform() * 128.0;
        INFO("seed " << seed << ", edge at bin " << edge);
        for (const bool falling : {true, false}) {
            std::vector<float> power = exponential(128 * 60, random);
            const auto mean_at = [&](double bin) { return (bin < edge) == falling ? 1.0 : 1e-4; };
            for (std::size_t k = 0; k < power.size(); ++k)
                power[k] *= static_cast<float>(mean_at(static_cast<double>(k)));
            const NoiseFloor floor(power, 128, 0.0);
            double least = 1e9;
            for (double bin = 0.0; bin < 128.0 * 60.0; bin += 1.0)
                least = std::min(least, floor.at(bin) / mean_at(bin));
            CHECK(least > 0.3);
            // Five blocks away both sides read what they are.
            const double loud = falling ? edge - 640.0 : edge + 640.0, quiet = falling ? edge + 640.0 : edge - 640.0;
            CHECK(floor.at(loud) == Approx(1.0).epsilon(0.25));
            CHECK(floor.at(quiet) == Approx(1e-4).epsilon(0.25));
        }
    }
}

TEST_CASE("the floor is nowhere below the least, and is the same however it is asked for") {
    scenes::Random random(3);
    std::vector<float> power = exponential(1000, random);
    std::fill(power.begin() + 500, power.end(), 0.0f);
    const NoiseFloor floor(power, 64, 0.05);
    std::vector<float> all(power.size());
    floor.expand(all);
    for (std::size_t k = 0; k < all.size(); ++k) {
        CHECK(all[k] >= 0.0499f);
        CHECK(all[k] == Approx(floor.at(static_cast<double>(k))).epsilon(0.02));
    }
    CHECK(floor.at(900.0) == Approx(0.05));
    // Shorter than a block: one level for all.
    const NoiseFloor one(std::vector<float>(10, 3.0f), 64, 0.0);
    CHECK(one.at(0.0) == one.at(9.0));
}
