// Referee of DETECTION.md 2 and 13.

#include <catch2/catch.hpp>
#include <cmath>
#include <vector>

#include "made.h"
#include "support/names.h"
#include "tones/find_tones.h"

using namespace tattletone;

namespace {

constexpr double rate_hz = 16000.0;

Tones hear(double seconds, std::uint64_t seed, const std::vector<std::pair<double, double>>& tones) {
    auto samples = made::white(static_cast<std::size_t>(seconds * rate_hz), 0.01, seed);
    for (const auto& [hz, db_hz] : tones)
        made::add_tone(samples, rate_hz, hz, made::amplitude_over_noise(db_hz, 0.01, rate_hz));
    return find_tones(made::recording(std::move(samples), rate_hz));
}

/// A minute of noise in which a line goes along hz(t) with amplitude(t).
template <class Hz, class Amplitude>
Tones hear_minute(std::uint64_t seed, Hz hz, Amplitude amplitude) {
    UNSCOPED_INFO("seed " << seed);
    auto samples = made::white(static_cast<std::size_t>(60.0 * rate_hz), 0.01, seed);
    made::add_path(samples, rate_hz, hz, amplitude, 0.0);
    return find_tones(made::recording(std::move(samples), rate_hz));
}

}  // namespace

TEST_CASE("a long recording is one recording: one tone a line, sharper the longer") {
    const std::vector<std::pair<double, double>> truth{{1001.37, 25}, {3200.11, 20}, {6543.21, 40}};
    const std::uint64_t seed = 51;
    INFO("seed " << seed);
    const Tones brief = hear(16.25, seed, truth), lasting = hear(65.0, seed, truth);
    CHECK(lasting.seconds == Approx(65.0));
    REQUIRE(brief.tones.size() == truth.size());
    REQUIRE(lasting.tones.size() == truth.size());
    for (std::size_t i = 0; i < truth.size(); ++i) {
        INFO(truth[i].first << " Hz");
        const Tone &a = brief.tones[i], &b = lasting.tones[i];
        CHECK(std::abs(b.hz - truth[i].first) < 4.0 * b.hz_sd);
        // Segments are joined by their frequencies, not their phases: the root of their number.
        CHECK(b.hz_sd < 0.75 * a.hz_sd);
        CHECK(b.hz_sd > 0.2 * a.hz_sd);
        CHECK(b.steady);
        CHECK(b.present > 0.93);
        CHECK(b.level_dbfs == Approx(a.level_dbfs).margin(1.0));
        CHECK(b.tone_to_noise_db == Approx(a.tone_to_noise_db).margin(1.5));
        REQUIRE(b.history.size() > 10);
        CHECK(b.history.front().seconds < 2.0);
        CHECK(b.history.back().seconds > 63.0);
        CHECK(b.history.back().seconds < 65.0);
        for (std::size_t m = 1; m < b.history.size(); ++m) {
            const double step = b.history[m].seconds - b.history[m - 1].seconds;
            CHECK(step > 0.2);
            CHECK(step < 3.0);
        }
    }
}

TEST_CASE("a tone of part of a long recording says so, on the whole recording's time") {
    const double amplitude = made::amplitude_over_noise(35.0, 0.01, rate_hz);
    const Tones tones = hear_minute(
        52, [](double) { return 2500.4; }, [&](double t) { return t > 20.0 && t < 40.0 ? amplitude : 0.0; });
    const Tone* tone = made::nearest(tones.tones, 2500.4, 0.05);
    REQUIRE(tone);
    CHECK(tone->present == Approx(1.0 / 3.0).margin(0.05));
    CHECK(tone->history.front().seconds > 19.0);
    CHECK(tone->history.back().seconds < 41.0);
    // Mean over the whole recording.
    CHECK(tone->level_dbfs == Approx(20.0 * std::log10(amplitude) + 10.0 * std::log10(1.0 / 3.0)).margin(0.7));
}

TEST_CASE("a converter that warms up is one moving line through all of a minute") {
    // By 2 % in 60 s (0.33 Hz a second at 1 kHz … 5 Hz a second here).
    const double amplitude = made::amplitude_over_noise(38.0, 0.01, rate_hz);
    const Tones tones = hear_minute(
        53, [](double t) { return 6000.0 * (1.0 - 0.02 * t / 60.0); }, [&](double) { return amplitude; });
    REQUIRE(tones.tones.size() == 1);
    const Tone& tone = tones.tones[0];
    CHECK(!tone.steady);
    CHECK(tone.present > 0.95);
    CHECK(tone.start_hz == Approx(6000.0).margin(6.0));
    CHECK(tone.end_hz == Approx(5880.0).margin(6.0));
    CHECK(tone.hz == Approx(5940.0).margin(3.0));
    CHECK(tone.wander_hz == Approx(120.0 / std::sqrt(12.0)).epsilon(0.1));
}
