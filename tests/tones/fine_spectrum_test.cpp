// Referee of DETECTION.md 9a.

#include "tones/detect/fine_spectrum.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "support/names.h"
#include "tones/detect/line_fit.h"
#include "tones/detect/noise_floor.h"
#include "tones/made.h"

using namespace tattletone;

namespace {

constexpr double seconds = 4.0, rms = 0.01;

FineSpectrum fine_of(std::span<const float> samples, std::span<const LineFit> fits) {
    const SegmentSpectrum spectrum(samples, made::rate_hz);
    std::vector<float> power;
    for (const auto& value : spectrum.values()) power.push_back(std::norm(value));
    return fine_spectrum(spectrum, NoiseFloor(power, 128, 1e-30), {40.0, 20000.0}, fits);
}

std::vector<float> noise(std::uint64_t seed) {
    return made::white(static_cast<std::size_t>(seconds * made::rate_hz), rms, seed);
}

double mean_power(const FineSpectrum& fine, std::size_t from, std::size_t to, std::size_t step) {
    double sum = 0.0;
    std::size_t count = 0;
    for (std::size_t i = from; i < to; i += step, ++count) sum += FineSpectrum::power_of(fine.code[i]);
    return sum / static_cast<double>(count);
}

}  // namespace

TEST_CASE("noise has a mean power of 1 at the bins and between them") {
    const auto samples = noise(1);
    const FineSpectrum fine = fine_of(samples, {});
    // 75 000 exponentials: 0.4 % each, and codes are no finer.
    CHECK(mean_power(fine, 2000, fine.code.size(), 2) == Approx(1.0).margin(0.03));
    CHECK(mean_power(fine, 2001, fine.code.size(), 2) == Approx(1.0).margin(0.03));
    CHECK(fine.code[10] == 0);
}

TEST_CASE("a line reads its power where it stands, between two bins too") {
    for (const double bins : {24000.0, 24000.5}) {
        auto samples = noise(2);
        const double snr = 40.0;
        made::add_tone(samples, made::rate_hz, bins / seconds,
                       made::amplitude_over_noise(10.0 * std::log10(snr / seconds), rms, made::rate_hz));
        const FineSpectrum fine = fine_of(samples, {});
        const double power = FineSpectrum::power_of(fine.code[static_cast<std::size_t>(2.0 * bins)]);
        INFO(bins);
        CHECK(power > snr - 3.0 * std::sqrt(2.0 * snr));
        CHECK(power < snr + 3.0 * std::sqrt(2.0 * snr));
    }
}

TEST_CASE("a found line leaves no leakage") {
    auto samples = noise(3);
    const double hz = 5000.37;
    made::add_tone(samples, made::rate_hz, hz, 0.05);
    const SegmentSpectrum spectrum(samples, made::rate_hz);
    const double noise_power = rms * rms / (seconds * made::rate_hz);
    const LineFit fit = fit_line(spectrum, hz / spectrum.bin_hz(), noise_power, {});
    const auto at = static_cast<std::size_t>(std::lround(2.0 * fit.bin));
    const FineSpectrum with = fine_of(samples, {}), without = fine_of(samples, std::span(&fit, 1));
    CHECK(mean_power(with, at + 12, at + 60, 1) > 3.0);
    CHECK(mean_power(without, at + 12, at + 60, 1) < 1.6);
    CHECK(mean_power(without, at - 60, at - 12, 1) < 1.6);
    CHECK(FineSpectrum::power_of(without.code[at]) > 50.0);
}
