#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <random>

#include "support/names.h"
#include "window/drawing/decimate.h"

using namespace tattletone;

namespace {

SpectrumCurve noise_curve(std::size_t bins, double bin_hz) {
    SpectrumCurve curve;
    curve.bin_hz = bin_hz;
    std::mt19937 random(7);
    std::normal_distribution<float> level(-110.0f, 4.0f);
    for (std::size_t i = 0; i < bins; ++i) curve.dbfs_per_hz.push_back(level(random));
    return curve;
}

/// The line through the bins, by its definition.
double line_at(const SpectrumCurve& curve, double hz) {
    const double at = hz / curve.bin_hz;
    const auto below = static_cast<std::size_t>(at);
    const double part = at - static_cast<double>(below);
    return (1 - part) * static_cast<double>(curve.dbfs_per_hz[below]) +
           part * static_cast<double>(curve.dbfs_per_hz[below + 1]);
}

}  // namespace

TEST_CASE("no peak is lost, whatever the pixels") {
    SpectrumCurve curve = noise_curve(32769, 24000.0 / 32768);
    std::mt19937 random(8);
    for (const bool logarithmic : {true, false})
        for (const int pixels : {500, 1004, 3000}) {
            const FrequencyAxis axis{100.0, 22000.0, logarithmic};
            SpectrumCurve peaked = curve;
            const std::size_t bin = 200 + random() % 28000;
            peaked.dbfs_per_hz[bin] = -40.0f;
            const auto columns = columns_of(peaked, axis, pixels);
            REQUIRE(columns.size() == static_cast<std::size_t>(pixels));
            const auto top = std::max_element(columns.begin(), columns.end(),
                                              [](const Column& a, const Column& b) { return a.high < b.high; });
            CHECK(top->high == -40.0f);  // the bin itself, wherever the column ends
            const double share = axis.share(static_cast<double>(bin) * curve.bin_hz);
            const double inside = share * pixels - static_cast<double>(top - columns.begin());
            CHECK(inside >= -1e-6);
            CHECK(inside <= 1.0 + 1e-6);
        }
}

TEST_CASE("columns hold what a dense walk over the line sees") {
    const SpectrumCurve curve = noise_curve(4097, 24000.0 / 4096);
    const FrequencyAxis axis{200.0, 20000.0, true};
    const int pixels = 700;
    const auto columns = columns_of(curve, axis, pixels);
    for (int i = 0; i < pixels; ++i) {
        const Column& column = columns[static_cast<std::size_t>(i)];
        REQUIRE(column.low <= column.high);
        for (int step = 0; step < 40; ++step) {
            const double level = line_at(curve, axis.hz((i + (step + 0.5) / 40) / pixels));
            CHECK(level <= static_cast<double>(column.high) + 1e-3);
            CHECK(level >= static_cast<double>(column.low) - 1e-3);
        }
    }
}

TEST_CASE("nothing is drawn where there is no curve") {
    CHECK(columns_of({}, {100, 1000, true}, 50).empty());
    const auto columns = columns_of(noise_curve(101, 10.0), {500, 4000, false}, 100);
    CHECK(columns.front().high > beyond_curve);
    CHECK(columns.back().high <= beyond_curve);
}

TEST_CASE("the spectrogram's picture has a tone in its column and silence in a gap") {
    SpectrogramMeter meter(8000.0, 100, false);
    std::vector<float> sine(8000 * 4);
    for (std::size_t i = 0; i < sine.size(); ++i)
        sine[i] =
            0.1f * std::sin(static_cast<float>(2 * 3.14159265358979 * 1000.0 / 8000.0 * static_cast<double>(i % 8000)));
    meter.add(sine);
    const FrequencyAxis axis{0.0, 4000.0, false};
    const int pixels = 400, rows = 40;
    const auto picture = spectrogram_picture(meter.spectrogram(), axis, pixels, rows, 0.0, 8.0, -90.0);
    REQUIRE(picture.size() == static_cast<std::size_t>(pixels * rows));
    const auto at = [&](int row, int pixel) {
        return static_cast<int>(picture[static_cast<std::size_t>(row * pixels + pixel)]);
    };
    CHECK(at(10, 100) == 255);  // 1000 Hz
    CHECK(at(10, 250) == 0);    // 2500 Hz
    CHECK(at(35, 100) == 0);    // after the end
}
