#include "tones/detect/steady.h"
#include "support/names.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <vector>

#include "made.h"

using namespace tattletone;

namespace {

constexpr double rate_hz = 8000.0;
constexpr std::size_t size = 8000;
constexpr Band band{50.0, 3900.0};

/// P(|z + sqrt(snr)|² > t), z complex normal of unit power: Marcum's Q₁(√(2 snr), √(2 t)), as a
/// Poisson mixture of gamma tails (non-central chi-square with two degrees of freedom).
double marcum(double t, double snr) {
    double weight = std::exp(-snr), term = std::exp(-t), tail = term, sum = 0.0;
    for (int j = 0; j < 1000; ++j) {
        sum += weight * tail;
        weight *= snr / (j + 1);
        term *= t / (j + 1);
        tail += term;
    }
    return sum;
}

double db(double power) {
    return 10.0 * std::log10(power);
}

}  // namespace

TEST_CASE("thresholds stand over those of independent bins by what lies between the bins") {
    // 1 - (1 - e^{-t})^N over N bins (W. H. Press et al., Numerical Recipes, section 13.8): 24 000
    // bins, 1 % 11.67 dB and 0.1 % 12.30 dB. A peak between bins is found too, as if there were
    // sqrt(π t / 3) times as many (Rice's rate of crossings).
    for (const auto& [bins, rate, independent_db] : {std::tuple{1024.0, 0.01, 10.62},
                                                     {1024.0, 0.001, 11.41},
                                                     {8192.0, 0.01, 11.34},
                                                     {8192.0, 0.001, 12.02},
                                                     {24000.0, 0.01, 11.67},
                                                     {24000.0, 0.001, 12.30}}) {
        INFO(bins << " bins at " << rate);
        const double t = steady_threshold(bins, rate, 0.0);
        CHECK(db(-std::log(1.0 - std::pow(1.0 - rate, 1.0 / bins))) == Approx(independent_db).margin(0.006));
        CHECK(db(t) > independent_db);
        CHECK(db(t) < independent_db + 0.5);
        // It solves its own equation.
        CHECK(bins * std::sqrt(3.141592653589793 * t / 3.0) * std::exp(-t) == Approx(rate).epsilon(1e-6));
        CHECK(steady_threshold(bins, rate, 0.05) > t);
    }
}

TEST_CASE("white noise raises as many false alarms as allowed") {
    constexpr double allowed = 0.2;
    constexpr int trials = 1000;
    const std::uint64_t seed = 5000;
    int alarms = 0;
    for (int trial = 0; trial < trials; ++trial) {
        const auto samples = made::white(size, 0.01, seed + static_cast<std::uint64_t>(trial));
        alarms += !scan_steady(SegmentSpectrum(samples, rate_hz), band, allowed).lines.empty();
    }
    const double sd = std::sqrt(trials * allowed * (1.0 - allowed));
    INFO("seeds from " << seed << ": " << alarms << " of " << trials << " at " << allowed);
    // Not above; below by what the gate against events takes, which noise passes nine times in ten.
    CHECK(alarms < trials * allowed + 3.1 * sd);
    CHECK(alarms > 0.6 * trials * allowed);
}

TEST_CASE("a tone is found as often as theory has it") {
    constexpr int trials = 300;
    for (const double over_db : {-3.0, 0.0, 2.0}) {
        const std::uint64_t seed = 900 + static_cast<std::uint64_t>(over_db + 10.0);
        scenes::Random random(seed);
        int found = 0;
        double threshold = 0.0, snr = 0.0;
        for (int trial = 0; trial < trials; ++trial) {
            const double hz = random.uniform(400.0, 3600.0);
            auto samples = made::white(size, 0.01, random.bits());
            threshold = steady_threshold(3850.0, 0.001, floor_relative_sd(128));
            snr = threshold * std::pow(10.0, 0.1 * over_db);
            // Power over the mean noise of a bin is C/N0 times the length, here 1 s.
            made::add_tone(samples, rate_hz, hz, made::amplitude_over_noise(db(snr), 0.01, rate_hz),
                           random.uniform(0.0, 6.28));
            const SteadyScan scan = scan_steady(SegmentSpectrum(samples, rate_hz), band, 0.001);
            CHECK(scan.threshold == Approx(threshold).epsilon(0.01));
            for (const SteadyLine& line : scan.lines)
                if (std::abs(line.hz - hz) < 1.0) {
                    ++found;
                    break;
                }
        }
        const double theory = marcum(threshold, snr);
        const double share = static_cast<double>(found) / trials, sd = std::sqrt(theory * (1 - theory) / trials);
        INFO("seed " << seed << ", " << over_db << " dB over the threshold: found " << share << ", theory " << theory);
        // The fit takes the best of the frequencies near, so a little more is found than at a known
        // one.
        CHECK(share > theory - 3.0 * sd - 0.04);
        CHECK(share < theory + 3.0 * sd + 0.12);
    }
}

TEST_CASE("what a steady line reads is what it is") {
    constexpr int trials = 60;
    const std::uint64_t seed = 77;
    scenes::Random random(seed);
    double hz_scaled = 0.0, level = 0.0;
    int found = 0;
    for (int trial = 0; trial < trials; ++trial) {
        const double hz = random.uniform(400.0, 3600.0);
        auto samples = made::white(size, 0.01, random.bits());
        const double amplitude = made::amplitude_over_noise(25.0, 0.01, rate_hz);
        made::add_tone(samples, rate_hz, hz, amplitude, random.uniform(0.0, 6.28));
        const SteadyScan scan = scan_steady(SegmentSpectrum(samples, rate_hz), band, 0.001);
        if (scan.lines.size() != 1) continue;
        ++found;
        const SteadyLine& line = scan.lines[0];
        hz_scaled += std::pow((line.hz - hz) / line.hz_sd, 2.0);
        level += line.mean_square / (0.5 * amplitude * amplitude);
        CHECK(db(line.signal_to_noise) == Approx(25.0).margin(2.5));
        CHECK(line.part_mean_square.size() == steady_parts);
        // Density and power of a bin: |X/N|² has mean σ² / N.
        CHECK(scan.floor.at(hz) == Approx(1e-4 / size).epsilon(0.25));
    }
    INFO("seed " << seed << ": found " << found << ", error over hz_sd " << std::sqrt(hz_scaled / found) << ", power "
                 << level / found);
    CHECK(found >= trials - 1);
    CHECK(std::sqrt(hz_scaled / found) == Approx(1.0).epsilon(0.3));
    CHECK(level / found == Approx(1.0).epsilon(0.06));
}

TEST_CASE("many lines of very different strength are all there, and nothing beside them") {
    const std::uint64_t seed = 15;
    INFO("seed " << seed);
    auto samples = made::white(10 * size, 0.001, seed);
    const std::vector<std::pair<double, double>> truth{{441.37, 70}, {441.97, 40},  {800.0, 50},   {1203.3, 22},
                                                       {1203.9, 75}, {2400.05, 30}, {3100.123, 60}};
    for (const auto& [hz, db_hz] : truth)
        made::add_tone(samples, rate_hz, hz, made::amplitude_over_noise(db_hz, 0.001, rate_hz), hz);
    const SteadyScan scan = scan_steady(SegmentSpectrum(samples, rate_hz), band, 0.001);
    REQUIRE(scan.lines.size() == truth.size());
    for (std::size_t i = 0; i < truth.size(); ++i) {
        INFO(truth[i].first << " Hz");
        CHECK(std::abs(scan.lines[i].hz - truth[i].first) < 5.0 * scan.lines[i].hz_sd + 1e-6 * truth[i].first);
        // Their skirts may raise the floor by some 3 dB.
        CHECK(db(scan.lines[i].signal_to_noise) == Approx(truth[i].second + 10.0).margin(3.5));
    }
}

namespace {

/// Ten seconds of noise with a line at 2000.3 Hz while `on(t)`.
template <class On>
SteadyScan scan_of(On on, double db_hz, std::uint64_t seed) {
    auto samples = made::white(10 * size, 0.01, seed);
    const double amplitude = made::amplitude_over_noise(db_hz, 0.01, rate_hz);
    made::add_path(
        samples, rate_hz, [](double) { return 2000.3; }, [&](double t) { return on(t) ? amplitude : 0.0; }, 0.0);
    return scan_steady(SegmentSpectrum(samples, rate_hz), band, 0.001);
}

}  // namespace

TEST_CASE("a burst is no steady line") {
    // Over the whole segment it stands 14 dB or more over the noise of a bin, the threshold is 13.
    for (const double db_hz : {35.0, 38.0, 41.0, 50.0, 60.0, 70.0, 85.0})
        for (const std::uint64_t seed : {1u, 2u, 3u, 4u, 5u}) {
            INFO("seed " << seed << ", " << db_hz << " dB-Hz");
            for (const double last : {0.3, 0.5, 1.0})
                CHECK(scan_of([&](double t) { return t > 4.1 && t < 4.1 + last; }, db_hz, seed).lines.empty());
        }
}

TEST_CASE("a line that comes and goes is there for its share of the time") {
    for (const double db_hz : {35.0, 50.0, 65.0}) {
        const std::uint64_t seed = 60 + static_cast<std::uint64_t>(db_hz);
        INFO("seed " << seed << ", " << db_hz << " dB-Hz");
        const auto strongest = [](const SteadyScan& scan) {
            REQUIRE(!scan.lines.empty());
            const SteadyLine* best = &scan.lines[0];
            for (const SteadyLine& line : scan.lines)
                if (line.mean_square > best->mean_square) best = &line;
            CHECK(best->hz == Approx(2000.3).margin(0.02));
            return *best;
        };
        CHECK(strongest(scan_of([](double) { return true; }, db_hz, seed)).present > 0.95);
        CHECK(strongest(scan_of([](double t) { return t < 7.5; }, db_hz, seed)).present == Approx(0.75).margin(0.08));
        CHECK(strongest(scan_of([](double t) { return t > 2.5 && t < 7.5; }, db_hz, seed)).present ==
              Approx(0.5).margin(0.08));
    }
}

TEST_CASE("a line that drifts within a stretch tells from where to where") {
    const std::uint64_t seed = 18;
    INFO("seed " << seed);
    auto samples = made::white(10 * size, 0.01, seed);
    const double amplitude = made::amplitude_over_noise(45.0, 0.01, rate_hz);
    // 0.04 Hz in 10 s: 0.4 bins.
    made::add_path(
        samples, rate_hz, [](double t) { return 1500.0 + 0.004 * t; }, [&](double) { return amplitude; }, 0.3);
    const SteadyScan scan = scan_steady(SegmentSpectrum(samples, rate_hz), band, 0.001);
    REQUIRE(scan.lines.size() == 1);
    CHECK(scan.lines[0].hz == Approx(1500.02).margin(0.003));
    CHECK(scan.lines[0].start_hz == Approx(1500.0).margin(0.006));
    CHECK(scan.lines[0].end_hz == Approx(1500.04).margin(0.006));
}
