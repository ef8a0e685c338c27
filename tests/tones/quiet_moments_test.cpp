#include "tones/detect/quiet_moments.h"
#include "support/names.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "made.h"
#include "spectrum/periodogram.h"
#include "tones/detect/line_tracker.h"
#include "tones/find_tones.h"

using namespace tattletone;

namespace {

constexpr double seconds = 10.0;
constexpr double quiet_rms = 1e-4, loud_factor = 10.0;

// Noise that is 20 dB louder for 0.5 s of every 0.8 s, as drops, strokes or words are.
bool loud(double t) {
    return std::fmod(t, 0.8) > 0.3;
}

std::vector<float> restless_noise(std::uint64_t seed) {
    auto samples = made::white(static_cast<std::size_t>(seconds * made::rate_hz), quiet_rms, seed);
    for (std::size_t i = 0; i < samples.size(); ++i)
        if (loud(static_cast<double>(i) / made::rate_hz)) samples[i] *= static_cast<float>(loud_factor);
    return samples;
}

std::vector<SteadyLine> quiet_lines(std::span<const float> samples) {
    const Frames frames = frame_spectra(samples, made::rate_hz, 7200);
    const auto floors = frame_floors(frames);
    const SegmentSpectrum spectrum(samples, made::rate_hz);
    bool crowded = false;
    return lines_in_quiet_moments(spectrum, {}, {floors, frames.bin_hz, frames.hop_seconds, 0.5 * frames.frame_seconds},
                                  {40.0, 20000.0}, 1e-3, crowded);
}

}  // namespace

TEST_CASE("a tone that only the quiet moments show is found, as certain as they make it", "[statistics]") {
    // By the matched filter in noise of changing power, the weighted statistic of a line of
    // amplitude a is on average a²/4 times the integral of dt over the noise's density, plus one
    // (Van Trees 1968, section 4.3); the frequency's variance is 1 / (8 pi² snr var(t)), the bound
    // for known noise.
    const double db_hz = 18.0;  // over the quiet noise
    const double quiet_seconds = seconds * 0.3 / 0.8;
    const double snr = std::pow(10.0, 0.1 * db_hz) * quiet_seconds;
    scenes::Random random(5);
    double statistic = 0.0, squares = 0.0, bound_squares = 0.0;
    int found = 0, whole = 0;
    constexpr int trials = 40;
    for (int trial = 0; trial < trials; ++trial) {
        auto samples = restless_noise(100 + static_cast<std::uint64_t>(trial));
        const double hz = random.log_uniform(600.0, 17000.0);
        made::add_tone(samples, made::rate_hz, hz, made::amplitude_over_noise(db_hz, quiet_rms, made::rate_hz));
        whole += !scan_steady(SegmentSpectrum(samples, made::rate_hz), {40.0, 20000.0}, 1e-3).lines.empty();
        for (const SteadyLine& line : quiet_lines(samples)) {
            if (std::abs(line.hz - hz) > 0.5) continue;
            ++found;
            statistic += line.signal_to_noise;
            squares += std::pow((line.hz - hz) / line.hz_sd, 2);
            bound_squares += std::pow(line.hz - hz, 2) * 8.0 * M_PI * M_PI * snr * seconds * seconds / 12.0;
        }
    }
    WARN("error / hz_sd " << std::sqrt(squares / found) << ", error over the bound " << std::sqrt(bound_squares / found)
                          << ", statistic over theory " << statistic / found / (snr + 1.0));
    // Over the mean of the noise it is 18 dB less.
    CHECK(whole <= trials / 4);
    CHECK(found >= trials - 1);
    // Frames that are part loud, part quiet are lost: up to two of four in each quiet moment.
    CHECK(statistic / found < 1.1 * (snr + 1.0));
    CHECK(statistic / found > 0.4 * (snr + 1.0));
    CHECK(std::sqrt(squares / found) == Approx(1.0).margin(0.3));
    CHECK(std::sqrt(bound_squares / found) < 1.7);
}

TEST_CASE("noise that comes and goes makes no line in its quiet moments", "[statistics]") {
    int lines = 0;
    for (std::uint64_t seed = 0; seed < 60; ++seed) lines += !quiet_lines(restless_noise(seed)).empty();
    CHECK(lines <= 1);
}

TEST_CASE("a cry in a quiet room is no line of its quiet moments") {
    auto samples = restless_noise(77);
    made::add_path(
        samples, made::rate_hz, [](double) { return 2500.0; }, [](double t) { return t > 4.0 && t < 5.5 ? 2e-4 : 0.0; },
        0.0);
    CHECK(quiet_lines(samples).empty());
}
