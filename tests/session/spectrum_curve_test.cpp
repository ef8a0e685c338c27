#include <catch2/catch.hpp>

#include <cmath>
#include <numbers>
#include <random>
#include <vector>

#include "base/decibels.h"
#include "session/live/spectrogram.h"
#include "session/live/spectrum_curve.h"
#include "session/live/tone_level.h"
#include "session/sitting/clip_analysis.h"
#include "support/names.h"

using namespace tattletone;

namespace {

constexpr double rate_hz = 48000.0;

std::vector<float> white(std::size_t count, double sd, unsigned seed) {
    std::mt19937 source(seed);
    std::normal_distribution<float> chance(0.0f, static_cast<float>(sd));
    std::vector<float> samples(count);
    for (float& sample : samples) sample = chance(source);
    return samples;
}

std::vector<float> sine(std::size_t count, double hz, double amplitude) {
    std::vector<float> samples(count);
    for (std::size_t i = 0; i < count; ++i)
        samples[i] =
            static_cast<float>(amplitude * std::sin(2.0 * std::numbers::pi * hz * static_cast<double>(i) / rate_hz));
    return samples;
}

double mean_of(const SpectrumCurve& curve) {
    double power = 0.0;
    std::size_t count = 0;
    for (std::size_t bin = 10; bin + 10 < curve.dbfs_per_hz.size(); ++bin, ++count)
        power += db_to_power(curve.dbfs_per_hz[bin]);
    return power_to_db(power / static_cast<double>(count));
}

}  // namespace

TEST_CASE("white noise of variance s² stands at s² / (f_s / 2) per Hz") {
    // Welch 1967; 0 dBFS is the mean square 1/2 of a full-scale sine.
    const double sd = 0.01, wanted = mean_square_to_dbfs(sd * sd / (0.5 * rate_hz));
    const auto samples = white(480000, sd, 3);
    CHECK(mean_of(spectrum_of(samples, rate_hz, 16384)) == Approx(wanted).margin(0.1));
    SpectrumMeter meter(rate_hz, 16384);
    for (std::size_t at = 0; at < samples.size(); at += 7777)
        meter.add(std::span(samples).subspan(at, std::min<std::size_t>(7777, samples.size() - at)));
    CHECK(mean_of(meter.curve()) == Approx(wanted).margin(0.1));
}

TEST_CASE("pieces of any size give the curve of the whole") {
    const auto samples = white(200000, 0.02, 5);
    const SpectrumCurve whole = spectrum_of(samples, rate_hz, 8192);
    SpectrumMeter meter(rate_hz, 8192);
    for (std::size_t at = 0; at < samples.size(); at += 1000) meter.add(std::span(samples).subspan(at, 1000));
    const SpectrumCurve pieces = meter.curve();
    REQUIRE(pieces.dbfs_per_hz.size() == whole.dbfs_per_hz.size());
    for (std::size_t bin = 0; bin < whole.dbfs_per_hz.size(); bin += 37)
        CHECK(pieces.dbfs_per_hz[bin] == Approx(whole.dbfs_per_hz[bin]).margin(0.01));
}

TEST_CASE("a gap joins nothing: two halves give as much as each alone, and too little gives none") {
    SpectrumMeter meter(rate_hz, 8192);
    meter.add(white(5000, 0.1, 1));
    meter.add_gap();
    meter.add(white(5000, 0.1, 2));
    CHECK(meter.curve().dbfs_per_hz.empty());
    CHECK(spectrum_of(white(100, 0.1, 1), rate_hz, 8192).dbfs_per_hz.empty());
}

TEST_CASE("cells of the spectrogram keep a density to a third of a dB") {
    for (double db = -179.0; db < -11.0; db += 0.7) CHECK(from_cell(to_cell(db)) == Approx(db).margin(0.34));
    CHECK(to_cell(-400.0) == 0);
    CHECK(to_cell(20.0) == 255);
}

TEST_CASE("a clip's spectrogram covers all of it in so many rows, the live one drops the oldest") {
    const auto minute = white(static_cast<std::size_t>(60 * rate_hz), 0.01, 9);
    SpectrogramMeter clip(rate_hz, 40, true), live(rate_hz, 40, false);
    for (std::size_t at = 0; at < minute.size(); at += 48000) {
        clip.add(std::span(minute).subspan(at, 48000));
        live.add(std::span(minute).subspan(at, 48000));
    }
    CHECK(clip.spectrogram().rows.size() <= 40);
    CHECK(clip.spectrogram().rows.front()->seconds <= clip.spectrogram().row_seconds);
    CHECK(clip.spectrogram().rows.back()->seconds >= 60.0 - clip.spectrogram().row_seconds);
    CHECK(live.spectrogram().rows.size() == 40);
    CHECK(live.spectrogram().rows.front()->seconds == Approx(40.5));
    CHECK(live.spectrogram().rows.back()->seconds == Approx(60.0));
}

TEST_CASE("the level of a followed sine is its amplitude's, wherever it lies between the bins") {
    for (const double hz : {3200.0, 3201.3, 6401.7})
        for (const double amplitude : {0.5, 0.001}) {
            const auto found = level_near(sine(14400, hz + 0.9, amplitude), rate_hz, hz, 3.0);
            CHECK(found.dbfs == Approx(20.0 * std::log10(amplitude)).margin(0.1));
            CHECK(found.hz == Approx(hz + 0.9).margin(0.6));
        }
    CHECK(level_near(sine(10, 3200.0, 1.0), rate_hz, 3200.0, 3.0).dbfs == -400.0);
}

TEST_CASE("a recording's picture holds its tone, and its gaps are kept") {
    Recording recording;
    recording.sample_rate_hz = rate_hz;
    recording.origin = "made";
    const auto noise = white(144000, 0.002, 11);
    recording.samples = sine(144000, 5000.0, 0.01);
    for (std::size_t i = 0; i < noise.size(); ++i) recording.samples[i] += noise[i];
    recording.gaps = {70000};
    const auto picture = analyse_recording(recording);
    REQUIRE(picture->found.tones.size() == 1);
    CHECK(picture->found.tones[0].hz == Approx(5000.0).margin(0.01));
    CHECK(picture->spectrogram.rows.size() == 5);  // the half second with the gap in it is none
    const auto& curve = picture->spectrum;
    const auto bin = static_cast<std::size_t>(std::lround(5000.0 / curve.bin_hz));
    // Level less the noise bandwidth of a Hann window, 1.5 bins (Harris 1978).
    CHECK(curve.dbfs_per_hz[bin] == Approx(-40.0 - 10.0 * std::log10(1.5 * curve.bin_hz)).margin(1.5));
}
