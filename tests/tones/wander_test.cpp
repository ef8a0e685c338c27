#include "support/names.h"
#include "tones/detect/line_tracker.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <functional>
#include <vector>

#include "made.h"
#include "spectrum/transform.h"
#include "tones/detect/path_finder.h"
#include "tones/find_tones.h"
#include "tones/judge/critical_band.h"

using namespace tattletone;

namespace {

using Path = std::function<double(double)>;  ///< Hz over seconds

constexpr double seconds = 10.0;

Frames frames_of(const std::vector<float>& samples, double sample_rate_hz, double frame_seconds) {
    return frame_spectra(samples, sample_rate_hz,
                         fast_size_at_most(static_cast<std::size_t>(sample_rate_hz * frame_seconds)));
}

/// Mean of a path over the time from `from` to `to`.
double mean_of(const Path& path, double from, double to) {
    double sum = 0.0;
    for (int i = 0; i < 1000; ++i) sum += path(from + (i + 0.5) * (to - from) / 1000.0) / 1000.0;
    return sum;
}

Path sweep(double hz) {
    return [hz](double t) { return hz * (1.04 - 0.08 * t / seconds); };
}
Path wobble(double hz) {
    return [hz](double t) { return hz * (1.0 + 0.01 * std::sin(2.0 * 3.14159265358979 * 0.23 * t + 1.0)); };
}
/// A walk by steps of a millisecond, smoothed over a second, about 0.7 % in all.
Path walk(double hz, scenes::Random& random) {
    std::vector<double> at(12002);
    double value = 0.0, smooth = 0.0;
    for (double& a : at) {
        value += 1e-4 * random.normal() - 0.0003 * value;
        smooth += 0.001 * (value - smooth);
        a = hz * (1.0 + smooth);
    }
    return [at](double t) { return at[2000 + std::min<std::size_t>(static_cast<std::size_t>(t * 1000.0), 10000)]; };
}

struct Heard {
    const Tone* tone = nullptr;
    Tones all;
};

/// A tone that moves, `ratio_db` over the white noise in its critical band.
Heard hear(const Path& path, double ratio_db, std::uint64_t seed, double from = 0.0, double to = seconds) {
    auto samples = made::white(static_cast<std::size_t>(seconds * made::rate_hz), 0.01, seed);
    const double middle = mean_of(path, from, to);
    const double amplitude =
        made::amplitude_over_noise(ratio_db + 10.0 * std::log10(critical_bandwidth_hz(middle)), 0.01, made::rate_hz);
    made::add_path(
        samples, made::rate_hz, path, [&](double t) { return t >= from && t < to ? amplitude : 0.0; }, 0.7);
    Heard heard;
    heard.all = find_tones(made::recording(std::move(samples)));
    heard.tone = made::nearest(heard.all.tones, middle, 0.03 * middle);
    return heard;
}

}  // namespace

TEST_CASE("the best path is the best of all paths") {
    // Against every path there is, for six frames of nine bins.
    const std::uint64_t seed = 3;
    scenes::Random random(seed);
    for (int trial = 0; trial < 30; ++trial) {
        INFO("seed " << seed << ", trial " << trial);
        constexpr std::size_t frames = 6, bins = 9;
        const int reach = 1 + trial % 3;
        const auto cost = [](int from, int to, float each) { return static_cast<double>(each) * std::abs(to - from); };
        const float price = static_cast<float>(random.uniform(0.0, 1.0));
        PathFinder finder(frames, bins, reach, price);
        std::vector<std::vector<double>> scores(frames, std::vector<double>(bins));
        for (std::size_t m = 0; m < frames; ++m)
            for (std::size_t k = 0; k < bins; ++k) {
                finder.row(m)[k] = static_cast<float>(random.uniform(0.0, 10.0));
                scores[m][k] = finder.row(m)[k];
            }
        constexpr int first = 1, last = 7;
        std::function<double(std::size_t, int)> best_from = [&](std::size_t m, int k) {
            double best = m + 1 < frames ? -1e9 : 0.0;
            for (int next = std::max(k - reach, first); m + 1 < frames && next <= std::min(k + reach, last); ++next)
                best = std::max(best, best_from(m + 1, next) - cost(k, next, price));
            return best + scores[m][static_cast<std::size_t>(k)];
        };
        double expected = -1e9;
        for (int k = first; k <= last; ++k) expected = std::max(expected, best_from(0, k));
        const PathFinder::Path path = finder.best(first, last);
        CHECK(path.sum == Approx(expected).epsilon(1e-5));
        double along = 0.0;
        REQUIRE(path.bin.size() == frames);
        for (std::size_t m = 0; m < frames; ++m) {
            CHECK((path.bin[m] >= first && path.bin[m] <= last));
            along += scores[m][static_cast<std::size_t>(path.bin[m])];
            if (m > 0) {
                CHECK(std::abs(path.bin[m] - path.bin[m - 1]) <= reach);
                along -= cost(path.bin[m - 1], path.bin[m], price);
            }
        }
        CHECK(along == Approx(expected).epsilon(1e-5));
    }
}

TEST_CASE("white noise scores over the path's threshold as often as allowed", "[statistics]") {
    constexpr double allowed = 0.2, rate_hz = 16000.0;
    constexpr int trials = 300;
    for (const auto& [frame_seconds, most_bins, length] :
         {std::tuple{0.15, 3, 5.0}, {0.15, 3, 10.0}, {0.68, 2, 10.0}}) {
        int alarms = 0;
        for (int trial = 0; trial < trials; ++trial) {
            const auto samples =
                made::white(static_cast<std::size_t>(length * rate_hz), 0.01, 8000 + static_cast<std::uint64_t>(trial));
            const Frames frames = frames_of(samples, rate_hz, frame_seconds);
            const TrackedLines scan = track_lines(frames, frame_floors(frames), mean_density(frames), {50.0, 7800.0},
                                                  {}, {most_bins, allowed, 1});
            CHECK(scan.lines.empty() == (scan.best_score < scan.threshold));
            alarms += !scan.lines.empty();
        }
        INFO(frame_seconds << " s frames, " << length << " s, seeds from 8000: " << alarms << " of " << trials);
        // The Gumbel law's constants were fitted to the band up to 20 kHz: within a factor of two.
        CHECK(alarms < 2.0 * trials * allowed);
        CHECK(alarms > trials * allowed / 2.0);
    }
}

TEST_CASE("a line that sweeps, wobbles or walks is one tone where it is", "[statistics]") {
    for (const std::uint64_t seed : {1u, 2u, 3u}) {
        scenes::Random random(seed + 100);
        const double hz = random.uniform(4000.0, 14000.0);
        const std::pair<const char*, Path> paths[] = {
            {"sweep", sweep(hz)}, {"wobble", wobble(hz)}, {"walk", walk(hz, random)}};
        for (const auto& [name, path] : paths) {
            for (const double ratio_db : {3.0, 12.0}) {
                INFO(name << " at " << hz << " Hz, " << ratio_db << " dB, seed " << seed);
                const Heard found = hear(path, ratio_db, seed);
                REQUIRE(found.tone);
                const Tone& tone = *found.tone;
                const double truth = mean_of(path, 0.0, seconds);
                INFO("found " << tone.hz << " ± " << tone.hz_sd << ", true mean " << truth);
                CHECK(std::abs(tone.hz - truth) < 3.5 * tone.hz_sd);
                CHECK(!tone.steady);
                CHECK(tone.tone_to_noise_db == Approx(ratio_db).margin(1.5));
                const double level_dbfs =
                    ratio_db + 10.0 * std::log10(critical_bandwidth_hz(truth) * 2.0 * 1e-4 / 24000.0);
                CHECK(tone.level_dbfs == Approx(level_dbfs).margin(0.7));
                CHECK(tone.present > 0.95);
                if (name == std::string("sweep")) {
                    CHECK(tone.start_hz == Approx(path(0.0)).epsilon(0.002));
                    CHECK(tone.end_hz == Approx(path(10.0)).epsilon(0.002));
                }
                double squares = 0.0;
                for (int i = 0; i < 1000; ++i) squares += std::pow(path(0.01 * i) - truth, 2.0) / 1000.0;
                CHECK(tone.wander_hz == Approx(std::sqrt(squares)).epsilon(0.15).margin(2.0));
                // One tone a line: nothing else near its path.
                int near = 0;
                for (const Tone& other : found.all.tones) near += std::abs(other.hz - truth) < 0.05 * truth ? 1 : 0;
                CHECK(near == 1);
            }
        }
    }
}

TEST_CASE("the history of a moving line is its path") {
    const Path path = wobble(7000.0);
    const Heard found = hear(path, 12.0, 5);
    REQUIRE(found.tone);
    REQUIRE(found.tone->history.size() > 10);
    for (const TonePoint& point : found.tone->history) {
        INFO("seed 5, at " << point.seconds << " s");
        CHECK(point.hz == Approx(path(point.seconds)).margin(20.0));  // it turns by 100 Hz a second
    }
}

TEST_CASE("a moving line that is there for a part of the time") {
    for (const auto& [from, to] : {std::pair{0.0, 5.0}, {5.0, 10.0}, {2.0, 8.0}}) {
        const Path path = sweep(6000.0);
        const double truth = mean_of(path, from, to);
        const Heard found = hear(path, 10.0, 17, from, to);
        INFO("seed 17, " << from << " to " << to << " s");
        REQUIRE(found.tone);
        CHECK(found.tone->present == Approx((to - from) / seconds).margin(0.1));
        // The path's ends are known to a frame or two; it moves by 48 Hz a second.
        CHECK(found.tone->hz == Approx(truth).margin(12.0));
        CHECK(found.tone->tone_to_noise_db == Approx(10.0).margin(1.5));
    }
}

TEST_CASE("too few frames or too narrow a band: nothing is looked for") {
    const auto samples = made::white(16000, 0.01, 1);
    const Frames few = frames_of(samples, 16000.0, 0.5);
    CHECK(track_lines(few, frame_floors(few), mean_density(few), {50.0, 7000.0}, {}, {}).lines.empty());
    CHECK(track_lines(few, frame_floors(few), mean_density(few), {50.0, 7000.0}, {}, {}).threshold == 0.0);
    const Frames many = frames_of(samples, 16000.0, 0.05);
    CHECK(track_lines(many, frame_floors(many), mean_density(many), {1000.0, 1500.0}, {}, {}).threshold == 0.0);
    CHECK(track_lines(many, frame_floors(many), mean_density(many), {50.0, 7000.0}, {}, {}).threshold > 0.0);
}
