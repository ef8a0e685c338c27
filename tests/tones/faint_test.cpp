#include "tones/detect/faint.h"
#include "support/names.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "made.h"
#include "tones/detect/steady.h"
#include "tones/find_tones.h"
#include "tones/join/unit_tones.h"

using namespace tattletone;

namespace {

constexpr double rms = 0.01;
constexpr double seconds = 5.0;
constexpr auto size = static_cast<std::size_t>(seconds * made::rate_hz);

/// A line whose power is `statistic` times the mean noise of a bin: C/N0 times the length.
double amplitude_of(double statistic) {
    return made::amplitude_over_noise(10.0 * std::log10(statistic / seconds), rms, made::rate_hz);
}

bool holds(const std::vector<FaintLine>& lines, double hz) {
    return std::any_of(lines.begin(), lines.end(),
                       [&](const FaintLine& l) { return std::abs(l.hz - hz) < 0.5 / seconds; });
}

}  // namespace

TEST_CASE("white noise has no more faint peaks than Rice's rate of crossings") {
    double peaks = 0.0, bins = 0.0, expected = 0.0;
    for (std::uint64_t seed = 1; seed <= 8; ++seed) {
        const Tones found = find_tones(made::recording(made::white(size, rms, seed)));
        bins += (found.usable.high_hz - found.usable.low_hz) * seconds;
        peaks += static_cast<double>(found.faint.size());
        for (std::size_t i = 1; i < found.faint.size(); ++i) CHECK(found.faint[i - 1].hz < found.faint[i].hz);
    }
    expected = bins * noise_peaks_a_bin(7.0, 0.0);
    INFO(peaks << " peaks, " << expected << " expected at most");
    CHECK(peaks < 1.05 * expected);
    CHECK(peaks > 0.5 * expected);
}

TEST_CASE("a faint line is found where it is, as loud as it is, as sure as it says") {
    int found = 0;
    double squares = 0.0, level = 0.0;
    constexpr int trials = 60;
    const double amplitude = amplitude_of(13.0);
    for (int trial = 0; trial < trials; ++trial) {
        auto samples = made::white(size, rms, 100 + static_cast<std::uint64_t>(trial));
        const double hz = 3000.0 + 137.77 * trial;
        made::add_tone(samples, made::rate_hz, hz, amplitude, 0.3 * trial);
        for (const FaintLine& line : find_tones(made::recording(std::move(samples))).faint) {
            if (std::abs(line.hz - hz) > 0.5 / seconds) continue;
            ++found;
            squares += std::pow((line.hz - hz) / line.hz_sd, 2);
            level += std::pow(10.0, 0.1 * line.level_dbfs);
        }
    }
    INFO(found << " found, error over hz_sd " << std::sqrt(squares / found));
    CHECK(found > 0.8 * trials);
    CHECK(std::sqrt(squares / found) == Approx(1.0).margin(0.25));
    // What is found holds its own power and the noise's.
    CHECK(10.0 * std::log10(level / found) == Approx(20.0 * std::log10(amplitude)).margin(0.8));
}

TEST_CASE("nothing faint is told beside a tone, on the mains' multiples or where the room has it") {
    auto samples = made::white(size, rms, 7);
    made::add_tone(samples, made::rate_hz, 5000.0, amplitude_of(3000.0));
    for (int n : {1, 2, 3, 4}) made::add_tone(samples, made::rate_hz, n * 50.02, amplitude_of(400.0), n);
    made::add_tone(samples, made::rate_hz, 35 * 50.02, amplitude_of(14.0), 1.0);
    made::add_tone(samples, made::rate_hz, 7321.0, amplitude_of(14.0), 2.0);
    const Tones found = find_tones(made::recording(samples));
    for (const FaintLine& line : found.faint) {
        CHECK(std::abs(line.hz - 5000.0) > 0.8);
        CHECK(std::abs(line.hz - 35 * 50.02) > 0.5 / seconds);
    }
    REQUIRE(holds(found.faint, 7321.0));
    const auto unit_with = [&](const Tones* room) {
        std::vector<Take> takes;
        takes.push_back({"", "", "", found, {}});
        return unite(std::move(takes), room);
    };
    CHECK(holds(unit_with(nullptr).takes[0].found.faint, 7321.0));
    auto room_samples = made::white(size, rms, 8);
    made::add_tone(room_samples, made::rate_hz, 7321.0, amplitude_of(14.0), 0.5);
    const Tones room = find_tones(made::recording(std::move(room_samples)));
    CHECK_FALSE(holds(unit_with(&room).takes[0].found.faint, 7321.0));
}
