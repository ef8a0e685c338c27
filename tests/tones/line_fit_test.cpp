// Referee of DETECTION.md 3.1, 5.3 and 5.4 (parts).

#include "tones/detect/line_fit.h"
#include "support/names.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <vector>

#include "made.h"

using namespace tattletone;
using std::numbers::pi;

namespace {

/// Cramér-Rao bound of the frequency of a real sinusoid of unknown amplitude and phase,
/// var f >= 12 fs² / ((2π)² η N (N² - 1)), η = A² / 2σ² (S. M. Kay, Fundamentals of Statistical
/// Signal Processing I, p. 57; D. C. Rife and R. R. Boorstyn, IEEE Trans. IT 20(5), 1974).
double bound_hz(double eta, double n, double sample_rate_hz) {
    return sample_rate_hz / (2.0 * pi) * std::sqrt(12.0 / (eta * n * (n * n - 1.0)));
}

struct Line {
    double bin, amplitude, phase;
};

/// Lines in white noise of rms 1; the fast sizes used here are kept whole.
SegmentSpectrum spectrum_of(std::size_t size, double sample_rate_hz, const std::vector<Line>& lines,
                            scenes::Random& random, double rms = 1.0) {
    std::vector<float> samples(size);
    for (std::size_t n = 0; n < size; ++n) {
        double x = rms * random.normal();
        for (const Line& line : lines)
            x += line.amplitude *
                 std::cos(2.0 * pi * std::fmod(line.bin * static_cast<double>(n), static_cast<double>(size)) /
                              static_cast<double>(size) +
                          line.phase);
        samples[n] = static_cast<float>(x);
    }
    return {samples, sample_rate_hz};
}

/// Phase at the middle of the segment, which lies between two samples.
std::complex<double> half_amplitude(const Line& line, double size) {
    return std::polar(0.5 * line.amplitude, line.phase + pi * line.bin * (size - 1.0) / size);
}

double amplitude_for(double signal_to_noise, double size) {
    return std::sqrt(4.0 * signal_to_noise / size);
}

}  // namespace

TEST_CASE("the bound itself has the published values") {
    CHECK(bound_hz(1.0, 48000, 48000) == Approx(2.5165e-3).epsilon(2e-5));
    CHECK(bound_hz(0.01, 48000, 48000) == Approx(25.165e-3).epsilon(2e-5));
    CHECK(bound_hz(0.01, 240000, 48000) == Approx(2.2508e-3).epsilon(3e-5));
    CHECK(bound_hz(1.0, 4096, 48000) == Approx(0.10095).epsilon(5e-5));
    // A published run: N 513, 1 MHz, -10 dB, 888 854.7569 (rad/s)².
    CHECK(std::pow(2.0 * pi * bound_hz(0.1, 513, 1e6), 2.0) == Approx(888854.7569).epsilon(1e-9));
}

TEST_CASE("without noise a line is found exactly, amplitude and phase at the middle too") {
    scenes::Random random(1);
    for (const double bin : {300.0, 300.25, 300.5, 301.499, 700.77}) {
        INFO("bin " << bin);
        const Line line{bin, 0.5, 1.1};
        const auto spectrum = spectrum_of(4096, 4096.0, {line}, random, 0.0);
        CHECK(spectrum.seconds() == Approx(1.0));
        const LineFit plain = fit_line(spectrum, std::round(bin), 1e-12, {});
        const LineFit hann = fit_line_hann(spectrum, std::round(bin), 1e-12);
        // The kernel is that of N → ∞, and the line has a mirror image 600 bins away.
        for (const LineFit& fit : {plain, hann}) {
            CHECK(fit.bin == Approx(bin).margin(2e-4));
            CHECK(std::abs(fit.half_amplitude - half_amplitude(line, 4096)) < 0.002 * 0.25);
        }
        const auto on_bin = static_cast<std::size_t>(std::lround(bin));
        if (static_cast<double>(on_bin) == bin) CHECK(std::abs(spectrum.hann(on_bin)) == Approx(0.25).epsilon(1e-4));
    }
}

TEST_CASE("a line's frequency is as certain as the Cramér-Rao bound allows, and bin_sd is honest", "[statistics]") {
    // 10 s at 960 Hz, 30 dB-Hz: 40 dB over the noise of a bin; and 20 dB-Hz.
    constexpr std::size_t size = 9600;
    constexpr double rate_hz = 960.0;
    constexpr int trials = 600;
    for (const double db_hz : {30.0, 20.0}) {
        const std::uint64_t seed = 700 + static_cast<std::uint64_t>(db_hz);
        scenes::Random random(seed);
        const double amplitude = made::amplitude_over_noise(db_hz, 1.0, rate_hz);
        const double bound = bound_hz(0.5 * amplitude * amplitude, size, rate_hz), noise = 1.0 / size;
        double plain_squares = 0.0, plain_scaled = 0.0, hann_squares = 0.0, hann_scaled = 0.0, bias = 0.0;
        double amplitude_squares = 0.0, left = 0.0;
        for (int trial = 0; trial < trials; ++trial) {
            const Line line{random.uniform(300.0, 4500.0), amplitude, random.uniform(0.0, 2.0 * pi)};
            const auto spectrum = spectrum_of(size, rate_hz, {line}, random);
            const LineFit plain = fit_line(spectrum, std::round(line.bin), noise, {});
            const LineFit hann = fit_line_hann(spectrum, std::round(line.bin), noise);
            const double off = plain.bin - line.bin, hann_off = hann.bin - line.bin;
            bias += off / trials;
            plain_squares += off * off / trials;
            plain_scaled += off * off / (plain.bin_sd * plain.bin_sd) / trials;
            hann_squares += hann_off * hann_off / trials;
            hann_scaled += hann_off * hann_off / (hann.bin_sd * hann.bin_sd) / trials;
            amplitude_squares +=
                std::norm(plain.half_amplitude - half_amplitude(line, size)) / (noise * plain.noise_gain) / trials;
            left += plain.residual / noise / trials;
        }
        const double bin_hz = rate_hz / size;
        INFO(db_hz << " dB-Hz, seed " << seed << ": plain " << std::sqrt(plain_squares) * bin_hz / bound << ", Hann "
                   << std::sqrt(hann_squares) * bin_hz / bound << " times the bound; scaled " << std::sqrt(plain_scaled)
                   << ", " << std::sqrt(hann_scaled) << "; amplitude " << amplitude_squares << "; residual " << left);
        // 600 trials tell a standard deviation to 2.9 %.
        CHECK(std::sqrt(plain_squares) * bin_hz / bound < 1.1);
        CHECK(std::sqrt(plain_squares) * bin_hz / bound > 0.92);
        // Least squares on Hann-windowed bins weigh the samples by w², w = cos²: the variance is
        // that of the bound times ∫w⁴t² / (12 (∫w²t²)²) = 4.54, t from -½ to ½.
        CHECK(std::sqrt(hann_squares) * bin_hz / bound == Approx(std::sqrt(4.54)).epsilon(0.12));
        CHECK(std::sqrt(plain_scaled) == Approx(1.0).epsilon(0.1));
        CHECK(std::sqrt(hann_scaled) == Approx(1.0).epsilon(0.1));
        CHECK(std::abs(bias) < 4.0 * std::sqrt(plain_squares / trials));
        CHECK(amplitude_squares == Approx(1.0).epsilon(0.17));  // four standard deviations
        CHECK(left == Approx(1.0).epsilon(0.06));
    }
}

// Of lines with a strong neighbour: white noise of rms 1 in a segment, drawn so many times.
constexpr std::size_t pair_size = 9600;
constexpr int pair_trials = 200;
constexpr double pair_noise = 1.0 / pair_size;

TEST_CASE("a strong steady neighbour three bins away is subtracted") {
    const std::uint64_t seed = 31;
    scenes::Random random(seed);
    double squares = 0.0, untreated = 0.0;
    for (int trial = 0; trial < pair_trials; ++trial) {
        const double bin = random.uniform(1000.0, 3000.0);
        const Line weak{bin, amplitude_for(300.0, pair_size), random.uniform(0.0, 2.0 * pi)};
        const Line strong{bin + 3.0 + random.uniform(-0.3, 0.3), 100.0 * weak.amplitude, random.uniform(0.0, 2.0 * pi)};
        const auto spectrum = spectrum_of(pair_size, 9600.0, {weak, strong}, random);
        LineFit one = fit_line(spectrum, strong.bin, pair_noise, {}), other;
        for (int round = 0; round < 4; ++round) {
            const LineFit known[] = {one};
            other = fit_line(spectrum, std::round(2.0 * weak.bin) / 2.0, pair_noise, known);
            const LineFit found[] = {other};
            one = fit_line(spectrum, one.bin, pair_noise, found);
        }
        squares += std::pow((other.bin - weak.bin) / other.bin_sd, 2.0) / pair_trials;
        const LineFit alone = fit_line(spectrum, weak.bin, pair_noise, {});
        untreated += std::min(std::pow((alone.bin - weak.bin) / other.bin_sd, 2.0), 1e4) / pair_trials;
    }
    INFO("seed " << seed << ": error over bin_sd " << std::sqrt(squares) << ", not subtracted "
                 << std::sqrt(untreated));
    CHECK(std::sqrt(squares) < 1.4);
    CHECK(std::sqrt(untreated) > 10.0);
}

TEST_CASE("the Hann fit bears an unsteady neighbour that the plain one does not") {
    const std::uint64_t seed = 32;
    scenes::Random random(seed);
    double hann_squares = 0.0, plain_squares = 0.0;
    for (int trial = 0; trial < pair_trials; ++trial) {
        std::vector<float> samples = made::white(pair_size, 1.0, random.bits());
        const double bin = random.uniform(1000.0, 3000.0), amplitude = amplitude_for(1000.0, pair_size);
        made::add_tone(samples, pair_size, bin, amplitude, random.uniform(0.0, 6.0));
        // 40 dB stronger, 14 bins away, moving by two bins in the course of the segment.
        made::add_path(
            samples, pair_size, [bin](double t) { return bin + 13.0 + 2.0 * t; },
            [amplitude](double) { return 100.0 * amplitude; }, random.uniform(0.0, 6.0));
        const SegmentSpectrum spectrum(samples, pair_size);
        const LineFit hann = fit_line_hann(spectrum, std::round(bin), pair_noise);
        const LineFit plain = fit_line(spectrum, std::round(bin), pair_noise, {});
        hann_squares += std::pow((hann.bin - bin) / hann.bin_sd, 2.0) / pair_trials;
        plain_squares += std::min(std::pow((plain.bin - bin) / hann.bin_sd, 2.0), 1e4) / pair_trials;
    }
    INFO("seed " << seed << ": errors over the Hann fit's bin_sd " << std::sqrt(hann_squares) << ", plain "
                 << std::sqrt(plain_squares));
    CHECK(std::sqrt(hann_squares) < 1.6);
    CHECK(std::sqrt(plain_squares) > 3.0 * std::sqrt(hann_squares));
}

TEST_CASE("a pure tone has the same amplitude in every part, on a bin and off") {
    scenes::Random random(1);
    for (const double bin : {500.0, 500.25, 500.5, 499.7}) {
        const Line line{bin, 0.5, 0.3};
        const auto spectrum = spectrum_of(9600, 9600.0, {line}, random, 0.0);
        LineFit fit;
        fit.bin = bin;
        fit.half_amplitude = half_amplitude(line, 9600);
        for (const auto& part : amplitude_by_part(spectrum, fit, {}, 16)) {
            INFO("bin " << bin);
            CHECK(std::abs(part - fit.half_amplitude) < 0.01 * 0.25);
        }
    }
}

TEST_CASE("parts tell when a tone was there, and scatter as told") {
    constexpr std::size_t size = 9600;
    std::vector<float> samples(size);
    made::add_path(
        samples, size, [](double) { return 1000.3; }, [](double t) { return t < 0.5 ? 0.5 : 0.0; }, 0.0);
    LineFit fit;
    fit.bin = 1000.3;
    const auto parts = amplitude_by_part(SegmentSpectrum(samples, size), fit, {}, 16);
    REQUIRE(parts.size() == 16);
    for (std::size_t m = 0; m < 16; ++m) {
        INFO("part " << m);
        if (m < 7) CHECK(std::abs(parts[m]) == Approx(0.25).epsilon(0.12));
        if (m > 8) CHECK(std::abs(parts[m]) < 0.03);
    }

    const std::uint64_t seed = 9;
    scenes::Random random(seed);
    double power = 0.0;
    constexpr int trials = 200;
    for (int trial = 0; trial < trials; ++trial) {
        fit.bin = random.uniform(500.0, 4000.0);
        const auto noise = spectrum_of(size, size, {}, random);
        for (const auto& part : amplitude_by_part(noise, fit, {}, 16)) power += std::norm(part) / (16.0 * trials);
    }
    INFO("seed " << seed << ": noise of a part over count times a bin's " << power * size / 16.0);
    CHECK(power * size / 16.0 == Approx(1.0).epsilon(0.12));
}
