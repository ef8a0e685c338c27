#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <numbers>
#include <utility>

#include "scenes/mains_grid.h"
#include "scenes/neighbour_sounds.h"
#include "scenes/neighbours.h"
#include "scenes/reverberation.h"
#include "support/names.h"

using namespace tattletone;
using namespace tattletone::scenes;

namespace {

/// Power of a recording at a frequency, in a band of about `width_hz`: Hann-weighted blocks, averaged.
double power_db(const sound::Recording& recording, double hz, double width_hz) {
    const double fs = recording.sample_rate_hz;
    const auto block = std::min(static_cast<std::size_t>(1.5 * fs / width_hz), recording.samples.size());
    double power = 0.0;
    int blocks = 0;
    for (std::size_t at = 0; at + block <= recording.samples.size(); at += block, ++blocks) {
        double re = 0.0, im = 0.0;
        for (std::size_t i = 0; i < block; ++i) {
            const double turn = 2.0 * std::numbers::pi * static_cast<double>(i);
            const double weighted = recording.samples[at + i] * (1.0 - std::cos(turn / static_cast<double>(block)));
            re += weighted * std::cos(turn * hz / fs);
            im += weighted * std::sin(turn * hz / fs);
        }
        power += (re * re + im * im) / (static_cast<double>(block) * static_cast<double>(block));
    }
    return 10.0 * std::log10(power / blocks);
}

}  // namespace

TEST_CASE("neighbours: the same seed gives the same recordings, and a room changes no take") {
    for (int kind = 0; kind <= drawn_neighbours; ++kind) {
        NeighbourAssumptions assumptions;
        assumptions.kind = static_cast<Neighbour>(kind);
        const NeighbourScene first = make_neighbour_scene(7, assumptions);
        assumptions.room = assumptions.far = true;
        const NeighbourScene second = make_neighbour_scene(7, assumptions);
        INFO(name_of(first.kind) << ": " << first.scene.story);
        REQUIRE(first.scene.takes.size() == second.scene.takes.size());
        for (std::size_t take = 0; take < first.scene.takes.size(); ++take)
            CHECK(first.scene.takes[take].recording.samples == second.scene.takes[take].recording.samples);
        CHECK_FALSE(first.scene.room);
        CHECK(second.scene.room);
        REQUIRE(second.scene.far);
        CHECK(second.scene.room->samples != second.scene.takes[0].recording.samples);
        CHECK(second.scene.far->recording.samples != second.scene.room->samples);
        CHECK(second.room_lines.empty() == (second.kind == Neighbour::commotion));
    }
}

TEST_CASE("neighbours: a silent board beside lines that are where they are said to be") {
    for (int kind = 0; kind <= drawn_neighbours; ++kind) {
        NeighbourAssumptions assumptions;
        assumptions.kind = static_cast<Neighbour>(kind);
        assumptions.steady_low_db = assumptions.moving_low_db = 35.0;
        for (const std::uint64_t seed : {11, 12}) {
            const NeighbourScene made = make_neighbour_scene(seed, assumptions);
            INFO(name_of(made.kind) << ", seed " << seed << ": " << made.scene.story);
            CHECK(made.scene.singing.empty());
            for (const TrueLine& line : made.scene.lines) CHECK(line.rate == -1);
            const auto& recording = made.scene.takes[0].recording;
            CHECK(recording.seconds() >= 5.0);
            CHECK(recording.seconds() <= 15.0);
            const auto loudest = std::max_element(recording.samples.begin(), recording.samples.end());
            CHECK(*loudest < 0.99);
            if (made.kind == Neighbour::commotion) continue;
            const auto strongest = std::max_element(
                made.scene.lines.begin(), made.scene.lines.end(), [](const TrueLine& a, const TrueLine& b) {
                    return std::pair(-a.take, a.tone_to_noise_db) < std::pair(-b.take, b.tone_to_noise_db);
                });
            REQUIRE(strongest != made.scene.lines.end());
            // 35 dB over a critical band's noise; the walls take 20 dB of it or more once in a hundred places.
            const double width_hz = std::max(4.0, strongest->steady ? 0.0 : 0.1 * strongest->hz);
            const double mean_db = strongest->level_dbfs + 10.0 * std::log10(strongest->seconds / recording.seconds());
            CHECK(power_db(recording, strongest->hz, width_hz) > mean_db - 24.0);
            CHECK(strongest->tone_to_noise_db > 30.0);
        }
    }
}

TEST_CASE("neighbours: a fundamental stays 0.3 % beside every fixed rate, or within 5 % of a crystal's") {
    for (std::uint64_t seed = 100; seed < 130; ++seed) {
        const bool beside = seed % 3 == 0;
        Random random(seed);
        const DrawnBoard board = draw_board(8, random);
        const NeighbourAssumptions assumptions;
        const Surroundings around{board.sheet, board.timing, assumptions, {60.0, 18500.0}, 50.0};
        const DrawnNeighbour drawn = beside ? draw_beside(around, random) : draw_clocked(around, random);
        if (drawn.sounds.empty()) continue;
        double nearest = 1.0;
        for (const Rate& rate : board.sheet.rates)
            if (!rate.wanders()) nearest = std::min(nearest, std::abs(drawn.sounds[0].hz / rate.hz - 1.0));
        INFO("seed " << seed << ": " << drawn.what);
        CHECK(nearest > 0.00297);  // of the true rate, with the crystal's own 20 ppm
        if (beside) CHECK(nearest < 0.0501);
    }
}

TEST_CASE("a grid's frequency: 20 mHz about its nominal value, some millihertz in ten seconds") {
    // Mains voltages of ENF-WHU: means within 11 mHz of 50 Hz, extremes 40 mHz off (minutes each).
    double square = 0.0, walked = 0.0;
    constexpr int grids = 400;
    for (std::uint64_t seed = 0; seed < grids; ++seed) {
        MainsGrid grid(50.0, Random(seed));
        const Path hz = grid.path(10 * 48000, 48000.0);
        square += std::pow(hz[0] - 50.0, 2.0);
        walked += std::pow(hz[hz.size() - 3] - hz[0], 2.0);
    }
    CHECK(std::sqrt(square / grids) == Approx(0.020).epsilon(0.1));
    CHECK(std::sqrt(walked / grids) > 0.003);
    CHECK(std::sqrt(walked / grids) < 0.008);
}

TEST_CASE("a room's tones: 0 dB in the mean of powers, 5.6 dB about their mean level") {
    // M. R. Schroeder, 1954: the level of a tone in a diffuse field has a standard deviation of 5.6 dB (from memory).
    constexpr double fs = 48000.0;
    Random random(4);
    double power = 0.0, level = 0.0, square = 0.0;
    int count = 0;
    for (int place = 0; place < 6; ++place) {
        const Reverberation room(fs, 0.45, -40.0, random);
        std::vector<double> impulse(static_cast<std::size_t>(0.7 * fs));
        impulse[0] = 1.0;
        room.run(impulse);
        for (int tone = 0; tone < 40; ++tone, ++count) {
            const double hz = random.log_uniform(200.0, 15000.0);
            double re = 0.0, im = 0.0;
            for (std::size_t i = 0; i < impulse.size(); ++i) {
                const double turn = 2.0 * std::numbers::pi * hz * static_cast<double>(i) / fs;
                re += impulse[i] * std::cos(turn);
                im += impulse[i] * std::sin(turn);
            }
            const double db = 10.0 * std::log10(re * re + im * im);
            power += re * re + im * im;
            level += db;
            square += db * db;
        }
    }
    level /= count;
    CHECK(10.0 * std::log10(power / count) == Approx(0.0).margin(1.0));
    CHECK(std::sqrt(square / count - level * level) > 4.4);
    CHECK(std::sqrt(square / count - level * level) < 7.0);
}
