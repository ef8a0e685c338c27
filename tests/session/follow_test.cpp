#include <catch2/catch.hpp>

#include <cmath>
#include <numbers>
#include <random>

#include "base/decibels.h"
#include "match/model/spots.h"
#include "session/live/follow_meter.h"
#include "session/live/tone_tracks.h"
#include "session/sitting/before_after.h"
#include "support/names.h"

using namespace tattletone;

namespace {

Tone steady_tone(double hz, double level_dbfs = -60.0) {
    Tone tone;
    tone.hz = tone.start_hz = tone.end_hz = hz;
    tone.hz_sd = 0.01;
    tone.level_dbfs = level_dbfs;
    return tone;
}

Tones window_with(double hz, double drift_hz, bool steady = true) {
    Tones found;
    found.seconds = 10.0;
    Tone tone = steady_tone(hz);
    tone.steady = steady;
    for (int i = 0; i < 10; ++i) tone.history.push_back({i + 0.5, hz + drift_hz * (i + 0.5) / 10.0, -60.0});
    found.tones.push_back(tone);
    return found;
}

UnitTones unit_of(std::vector<Tone> tones, const std::string& state = "") {
    UnitTones unit;
    Take take;
    take.state = state;
    take.found.seconds = 10.0;
    take.found.usable = {40.0, 20000.0};
    take.found.floor = {{40.0, -120.0, -95.0, -85.0}, {20000.0, -120.0, -95.0, -85.0}};
    unit.takes.push_back(take);
    for (const Tone& tone : tones) {
        UnitTone entry;
        entry.id = static_cast<int>(unit.tones.size()) + 1;
        entry.tone = tone;
        entry.heard_in = {{0, true, tone.level_dbfs, 10.0, 0.0}};
        unit.tones.push_back(entry);
    }
    return unit;
}

}  // namespace

TEST_CASE("the followed level stands against its start, and the highest is held") {
    FollowMeter meter(3200.0);
    CHECK_FALSE(meter.db());
    CHECK_FALSE(meter.name_spot("too soon"));
    double seconds = 0.0;
    const auto hold = [&](double dbfs, double time) {
        for (int i = 0; i < static_cast<int>(std::lround(time / 0.1)); ++i) meter.add(seconds += 0.1, dbfs);
    };
    hold(-60.0, 2.0);
    CHECK(*meter.db() == Approx(0.0).margin(0.01));
    CHECK(meter.name_spot("screen"));
    hold(-52.0, 5.0);
    CHECK(*meter.db() == Approx(8.0).margin(0.1));
    CHECK(meter.name_spot(""));
    hold(-70.0, 5.0);
    CHECK(*meter.db() == Approx(-10.0).margin(0.1));
    CHECK(*meter.highest_db() == Approx(8.0).margin(0.1));
    REQUIRE(meter.spots().size() == 2);
    CHECK(meter.spots()[1].name == "spot 2");
    CHECK(meter.spots()[1].db == Approx(8.0).margin(0.2));
    CHECK(meter.loudest() == 1);
}

TEST_CASE("a step of the level is half shown after 0.35 s: smoothing with a time constant of 0.5 s") {
    FollowMeter meter(3200.0);
    double seconds = 0.0;
    for (int i = 0; i < 300; ++i) meter.add(seconds += 0.01, -60.0);
    for (int i = 0; i < 35; ++i) meter.add(seconds += 0.01, -50.0);
    CHECK(*meter.db() == Approx(10.0 * (1.0 - std::exp(-0.7))).margin(0.05));
}

TEST_CASE("clicks double with every 6 dB, within what an ear can follow") {
    CHECK(clicks_per_second(0.0) == Approx(2.0));
    CHECK(clicks_per_second(12.0) == Approx(8.0));
    CHECK(clicks_per_second(-60.0) == Approx(0.5));
    CHECK(clicks_per_second(60.0) == Approx(32.0));
}

TEST_CASE("another sound, told by a clock that falls, starts the meter anew") {
    FollowMeter meter(3200.0);
    for (int i = 1; i <= 30; ++i) meter.add(0.1 * i, -60.0);
    REQUIRE(meter.name_spot("a"));
    meter.add(0.1, -40.0);
    CHECK_FALSE(meter.db());
    CHECK(meter.spots().empty());
}

TEST_CASE("successive windows make one track, each moment once") {
    ToneTracks tracks;
    for (int i = 0; i < 20; ++i) tracks.add(window_with(5000.0, 0.0), 10.0 + 0.5 * i);
    REQUIRE(tracks.tracks().size() == 1);
    const auto& points = tracks.tracks()[0].points;
    for (std::size_t i = 1; i < points.size(); ++i) CHECK(points[i].seconds > points[i - 1].seconds);
    CHECK(points.back().seconds == Approx(19.0).margin(0.51));
    tracks.add(window_with(5200.0, 0.0), 30.0);
    CHECK(tracks.tracks().size() == 2);
}

TEST_CASE("a line that was away for a minute is another track") {
    const auto tracks_after = [](double seconds) {
        ToneTracks tracks;
        tracks.add(window_with(5000.0, 0.0), 10.0);  // last heard at 9.5 s
        tracks.add(window_with(5000.0, 0.0), seconds);
        return tracks.tracks().size();
    };
    CHECK(tracks_after(69.0) == 1);
    CHECK(tracks_after(70.0) == 2);
}

TEST_CASE("a tone that sinks by 10 % in a minute stays one track, memory is bounded") {
    ToneTracks tracks;
    double hz = 15000.0;
    for (int i = 0; i < 120; ++i, hz *= 0.9991)
        tracks.add(window_with(hz * 1.0175, -0.0175 * hz, false), 10.0 + 0.5 * i);
    CHECK(tracks.tracks().size() == 1);
    for (int i = 0; i < 20000; ++i) tracks.add(window_with(100.0 + (i % 400) * 40.0, 0.0), 100.0 + 0.5 * i);
    CHECK(tracks.tracks().size() <= 200);
    for (const ToneTrack& track : tracks.tracks()) CHECK(track.points.size() <= 2000);
}

TEST_CASE("before and after: what stayed, with its uncertainties, what went, what came") {
    const UnitTones before = unit_of({steady_tone(3200.0, -60.0), steady_tone(7000.0)});
    const UnitTones after = unit_of({steady_tone(3200.05, -72.0), steady_tone(9000.0)});
    const auto changes = changes_between(before, after);
    REQUIRE(changes.size() == 3);
    CHECK(changes[0].hz_change == Approx(0.05));
    CHECK(changes[0].hz_sd == Approx(0.01 * std::sqrt(2.0)));
    CHECK(changes[0].db_change == Approx(-12.0));
    CHECK((changes[1].before == 2 && changes[1].after == 0));
    CHECK((changes[2].before == 0 && changes[2].after == 2));
    CHECK(changes[1].origin == Origin::board);
    CHECK(changes[1].became == Became::went);
    CHECK(changes[2].became == Became::came);
    // At -60 dBFS before; above -95 it would have been found: at least 35 dB quieter or louder.
    CHECK(changes[1].db_change.value() == Approx(-35.0));
    CHECK(changes[2].db_change.value() == Approx(35.0));
}

TEST_CASE("before and after: levels are compared in one state, and absence counts in one state only") {
    const UnitTones before = unit_of({steady_tone(3200.0, -60.0), steady_tone(7000.0)}, "idle");
    const auto other = changes_between(before, unit_of({steady_tone(3200.0, -80.0)}, "ranging"));
    REQUIRE(other.size() == 2);
    CHECK(other[0].became == Became::stayed);
    CHECK_FALSE(other[0].db_change);
    CHECK(other[1].became == Became::no_such_take);

    UnitTones both = unit_of({steady_tone(3200.0, -80.0)}, "ranging");
    both.takes.push_back(both.takes[0]);
    both.takes[1].state = "idle";
    both.tones[0].heard_in.push_back({1, true, -66.0, 10.0, 0.0});
    auto changes = changes_between(before, both);
    REQUIRE(changes.size() == 2);
    CHECK(changes[0].db_change.value() == Approx(-6.0));
    CHECK(changes[0].state == "idle");
    CHECK(changes[1].became == Became::went);
    CHECK(changes[1].state == "idle");

    for (FloorPoint& point : both.takes[1].found.floor) point.steady_above_dbfs = -50.0;
    changes = changes_between(before, both);
    CHECK(changes[1].became == Became::too_quiet);
    CHECK_FALSE(changes[1].db_change);
}

TEST_CASE("the uncertainty of a level is what noise does to an amplitude (Kay I, 3.41), by trial") {
    // A sine in white noise, its amplitude by projection on sine and cosine at the known frequency: the
    // spread of the level over 1500 trials, known to 2 %.
    constexpr int trials = 1500, count = 4800;
    constexpr double amplitude = 0.003, sd = 0.02, hz = 1000.0, rate_hz = 48000.0;
    std::vector<double> sine(count), cosine(count);
    for (std::size_t i = 0; i < count; ++i) {
        sine[i] = std::sin(2.0 * std::numbers::pi * hz * static_cast<double>(i) / rate_hz);
        cosine[i] = std::cos(2.0 * std::numbers::pi * hz * static_cast<double>(i) / rate_hz);
    }
    std::mt19937 source(21);
    std::normal_distribution<double> chance(0.0, sd);
    double sum = 0.0, squares = 0.0;
    for (int trial = 0; trial < trials; ++trial) {
        double in_phase = 0.0, quadrature = 0.0;
        for (std::size_t i = 0; i < count; ++i) {
            const double sample = amplitude * sine[i] + chance(source);
            in_phase += sample * sine[i];
            quadrature += sample * cosine[i];
        }
        const double level = 20.0 * std::log10(std::hypot(in_phase, quadrature) * 2.0 / count);
        sum += level;
        squares += level * level;
    }
    const double measured = std::sqrt(squares / trials - (sum / trials) * (sum / trials));
    const double level_dbfs = 20.0 * std::log10(amplitude);
    const double noise_dbfs_per_hz = mean_square_to_dbfs(sd * sd / (rate_hz / 2.0));
    INFO("seed 21: " << measured << " dB");
    CHECK(level_sd_db(level_dbfs, noise_dbfs_per_hz, count / rate_hz) == Approx(measured).epsilon(0.06));
    CHECK(level_sd_db(level_dbfs, noise_dbfs_per_hz, 4.0 * count / rate_hz) == Approx(0.5 * measured).epsilon(0.06));
}
