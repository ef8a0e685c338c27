#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <vector>

#include "made.h"
#include "support/names.h"
#include "tones/detect/steady.h"
#include "tones/find_tones.h"

using namespace tattletone;

namespace {

constexpr double seconds = 5.0, rate_hz = 8000.0;
constexpr auto size = static_cast<std::size_t>(seconds * rate_hz);
constexpr Band band{50.0, 3900.0};

std::vector<float> swept(double middle_hz, double drift_hz, double db_hz, std::uint64_t seed) {
    auto sound = made::white(size, 0.01, seed);
    const double amplitude = made::amplitude_over_noise(db_hz, 0.01, rate_hz);
    made::add_path(
        sound, rate_hz, [&](double t) { return middle_hz + drift_hz * (t / seconds - 0.5); },
        [amplitude](double) { return amplitude; }, 0.3 * static_cast<double>(seed));
    return sound;
}

SteadyScan scan_of(const std::vector<float>& sound) {
    return scan_steady(SegmentSpectrum(sound, rate_hz), band, 0.001);
}

/// Cramer-Rao bound of the drift of a real chirp of unknown amplitude, phase, frequency and sweep in
/// white noise: 90 / (pi² s) bins² for s = C/N0 times the length (P. M. Djuric and S. M. Kay,
/// "Parameter estimation of chirp signals", IEEE Trans. ASSP 38(12), 1990: var(sweep) =
/// 360 σ² / (A² N^5) rad²/sample^4 with the phase ½·sweep·n², of a complex chirp; a real one's A²/σ² counts half).
double drift_bound_hz(double db_hz) {
    const double s = std::pow(10.0, 0.1 * db_hz) * seconds;
    return std::sqrt(90.0 / s) / std::numbers::pi / seconds;
}

}  // namespace

TEST_CASE("the drift of a nearly steady line is told to the bound, and as it is", "[statistics]") {
    constexpr int trials = 200;
    for (const double drift_hz : {0.0, 0.12}) {
        double squares = 0.0, honest = 0.0, sum = 0.0;
        for (int i = 0; i < trials; ++i) {
            const auto scan = scan_of(swept(1500.0 + 0.37 * i, drift_hz, 30.0, static_cast<std::uint64_t>(500 + i)));
            REQUIRE(scan.lines.size() == 1);
            const SteadyLine& line = scan.lines[0];
            REQUIRE(line.drift_hz_sd > 0.0);
            const double error = line.drift_hz - drift_hz;
            sum += error;
            squares += error * error;
            honest += error * error / (line.drift_hz_sd * line.drift_hz_sd);
        }
        INFO("drift " << drift_hz << " Hz; error " << std::sqrt(squares / trials) << " Hz, bound "
                      << drift_bound_hz(30.0));
        CHECK(std::sqrt(squares / trials) < 1.15 * drift_bound_hz(30.0));
        CHECK(std::sqrt(squares / trials) > 0.85 * drift_bound_hz(30.0));
        CHECK(std::sqrt(honest / trials) == Approx(1.0).margin(0.15));
        CHECK(std::abs(sum / trials) < 4.0 * drift_bound_hz(30.0) / std::sqrt(trials));
    }
}

TEST_CASE("a line swept over several bins is one line, at its mean") {
    int ones = 0;
    double worst = 0.0;
    for (int i = 0; i < 40; ++i) {
        const double drift_hz = (i % 2 ? 1.0 : -1.0) * (1.0 + 0.02 * i), middle_hz = 1200.0 + 31.3 * i;
        const auto scan = scan_of(swept(middle_hz, drift_hz, 26.0, static_cast<std::uint64_t>(900 + i)));
        std::vector<SteadyLine> here;
        for (const SteadyLine& line : scan.lines)
            if (std::abs(line.hz - middle_hz) < 10.0) here.push_back(line);
        ones += here.size() == 1;
        REQUIRE_FALSE(here.empty());
        for (const SteadyLine& line : here) worst = std::max(worst, std::abs(line.hz - middle_hz) / line.hz_sd);
        CHECK(here[0].drift_hz == Approx(drift_hz).margin(6.0 * drift_bound_hz(26.0)));
    }
    CHECK(ones == 40);
    CHECK(worst < 5.0);
}

TEST_CASE("two steady lines side by side are no sweep") {
    for (int i = 0; i < 20; ++i) {
        auto sound = made::white(size, 0.01, static_cast<std::uint64_t>(1300 + i));
        const double amplitude = made::amplitude_over_noise(30.0, 0.01, rate_hz), apart_hz = 0.5 + 0.05 * i;
        made::add_tone(sound, rate_hz, 2000.13, amplitude, 0.1 * i);
        made::add_tone(sound, rate_hz, 2000.13 + apart_hz, 0.8 * amplitude, 1.7 * i);
        const auto scan = scan_of(sound);
        INFO(apart_hz << " Hz apart");
        CHECK(scan.lines.size() == 2);
    }
}

TEST_CASE("a swept line of a whole recording moves, and says from where to where") {
    const auto tones = find_tones(made::recording(swept(2500.0, 1.2, 32.0, 77), rate_hz));
    REQUIRE(tones.tones.size() == 1);
    const Tone& tone = tones.tones[0];
    CHECK_FALSE(tone.steady);
    CHECK(tone.start_hz == Approx(2499.4).margin(0.1));
    CHECK(tone.end_hz == Approx(2500.6).margin(0.1));
    CHECK(tone.hz == Approx(2500.0).margin(0.02));
    // 32 dB-Hz over a critical band of 25 + 75 (1 + 1.4 f²)^0.69 Hz, f in kHz (ECMA-418-1): 384 Hz, 25.8 dB.
    CHECK(tone.tone_to_noise_db == Approx(32.0 - 25.8).margin(0.5));
}
