#include "tones/find_tones.h"
#include "support/names.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <vector>

#include "made.h"

using namespace tattletone;
using made::mentions;

namespace {

std::vector<float> noise(double seconds, std::uint64_t seed, double sample_rate_hz = made::rate_hz) {
    return made::white(static_cast<std::size_t>(seconds * sample_rate_hz), 0.01, seed);
}

std::vector<float> with_tone(std::vector<float> samples, double hz, double db_hz,
                             double sample_rate_hz = made::rate_hz) {
    made::add_tone(samples, sample_rate_hz, hz, made::amplitude_over_noise(db_hz, 0.01, sample_rate_hz));
    return samples;
}

void check_same(const Tones& a, const Tones& b) {
    CHECK(a.seconds == b.seconds);
    CHECK(a.usable.high_hz == b.usable.high_hz);
    CHECK(a.notices == b.notices);
    CHECK(a.floor.size() == b.floor.size());
    REQUIRE(a.tones.size() == b.tones.size());
    for (std::size_t i = 0; i < a.tones.size(); ++i) {
        CHECK(a.tones[i].hz == b.tones[i].hz);
        CHECK(a.tones[i].hz_sd == b.tones[i].hz_sd);
        CHECK(a.tones[i].level_dbfs == b.tones[i].level_dbfs);
        CHECK(a.tones[i].tone_to_noise_db == b.tones[i].tone_to_noise_db);
        CHECK(a.tones[i].origin == b.tones[i].origin);
        CHECK(a.tones[i].history.size() == b.tones[i].history.size());
    }
}

}  // namespace

TEST_CASE("too short, nothing at all, silence: no tones and the reason") {
    for (const std::size_t samples : {0u, 1u, 2u, 100u, 9600u, 23999u}) {
        INFO(samples << " samples");
        const Tones tones = find_tones(made::recording(made::white(samples, 0.1, 1)));
        CHECK(tones.tones.empty());
        CHECK(tones.floor.empty());
        CHECK(tones.seconds == Approx(static_cast<double>(samples) / 48000.0));
        if (samples > 0) CHECK(!tones.notices.empty());
        if (samples >= 100) CHECK(mentions(tones.notices, "too short"));
    }
    const Tones silent = find_tones(made::recording(std::vector<float>(480000)));
    CHECK(silent.tones.empty());
    CHECK(mentions(silent.notices, "silence"));
    CHECK(mentions(find_tones(made::recording(noise(1.0, 1))).notices, "short: in 1 s"));
}

TEST_CASE("a recording that clips through and through") {
    auto samples = with_tone(noise(5.0, 2), 1000.3, 80.0);
    for (float& x : samples) x = x >= 0.0f ? 1.0f : -1.0f;
    const Tones tones = find_tones(made::recording(samples));
    CHECK(mentions(tones.notices, "clipped"));
    const Tone* tone = made::nearest(tones.tones, 1000.3, 0.05);
    REQUIRE(tone);
    // Fundamental of a square wave: 4/π, +2.1 dB over a full-scale sine.
    CHECK(tone->level_dbfs == Approx(20.0 * std::log10(4.0 / std::numbers::pi)).margin(0.5));
    CHECK(made::nearest(tones.tones, 3000.9, 0.1));
}

TEST_CASE("what a tone reads is what it is, at any sample rate") {
    for (const double rate_hz : {8000.0, 44100.0, 48000.0, 96000.0}) {
        const auto seed = static_cast<std::uint64_t>(rate_hz);
        INFO(rate_hz << " Hz, seed " << seed);
        const double hz = 2003.77;
        const Tones tones =
            find_tones(made::recording(with_tone(noise(5.0, seed, rate_hz), hz, 30.0, rate_hz), rate_hz));
        REQUIRE(tones.tones.size() == 1);
        const Tone& tone = tones.tones[0];
        const double density = 1e-4 / (0.5 * rate_hz);
        CHECK(std::abs(tone.hz - hz) < 4.0 * tone.hz_sd);
        // Cramér-Rao (Kay, p. 57) in terms of C/N0: var f = 3 / (2π² T³ C/N0) for white noise.
        const double bound = std::sqrt(3.0 / (2.0 * std::numbers::pi * std::numbers::pi * 125.0 * 1000.0));
        CHECK(tone.hz_sd == Approx(bound).epsilon(0.2));
        CHECK(tone.level_dbfs == Approx(10.0 * std::log10(2.0 * density * 1000.0)).margin(0.7));
        // ECMA-418-1: over the noise of 301.5 Hz (Formula 2).
        CHECK(tone.tone_to_noise_db == Approx(30.0 - 10.0 * std::log10(301.5)).margin(1.2));
        CHECK(tone.steady);
        CHECK(tone.present > 0.9);
        CHECK(tone.origin == Origin::board);
        CHECK(tone.evidence > 0.0);
        CHECK(tone.prominent == false);
        CHECK(tones.sample_rate_hz == rate_hz);
        CHECK(tones.usable.high_hz == Approx(std::min(20000.0, 0.49 * rate_hz)));
        const FloorPoint floor = floor_at(tones, hz);
        CHECK(floor.noise_dbfs_per_hz == Approx(10.0 * std::log10(2.0 * density)).margin(0.6));
    }
}

TEST_CASE("what the floor says would be found is found in half the cases") {
    // At the level told, and 3 dB under and over it.
    constexpr int trials = 24;
    const std::uint64_t seed = 400;
    int at = 0, under = 0, over = 0;
    const FloorPoint floor = floor_at(find_tones(made::recording(noise(5.0, seed, 16000.0), 16000.0)), 3000.0);
    for (int trial = 0; trial < trials; ++trial) {
        scenes::Random random(seed + static_cast<std::uint64_t>(trial) + 1);
        for (const auto& [found, shift_db] : {std::pair{&at, 0.0}, {&under, -3.0}, {&over, 3.0}}) {
            auto samples = noise(5.0, random.bits(), 16000.0);
            const double hz = random.uniform(2800.0, 3200.0);
            made::add_tone(samples, 16000.0, hz, std::pow(10.0, (floor.steady_above_dbfs + shift_db) / 20.0));
            *found += made::nearest(find_tones(made::recording(samples, 16000.0)).tones, hz, 0.5) != nullptr;
        }
    }
    INFO("seeds from " << seed << ": found " << under << ", " << at << ", " << over << " of " << trials);
    CHECK(at >= trials / 2 - 7);
    CHECK(at <= trials - 2);
    CHECK(under <= trials / 3);
    CHECK(over >= trials - 2);
}

TEST_CASE("white noise makes no tones") {
    int alarms = 0;
    for (std::uint64_t seed = 0; seed < 40; ++seed)
        alarms += !find_tones(made::recording(noise(3.0, 9000 + seed))).tones.empty();
    INFO("seeds from 9000");
    CHECK(alarms <= 1);  // 0.04 expected at 0.1 % each
}

TEST_CASE("a strong tone's skirt and harmonics are what is there and no more") {
    auto samples = noise(5.0, 21);
    for (const auto& [hz, db_hz] : {std::pair{2500.13, 80.0}, {5000.26, 45.0}, {7500.39, 30.0}})
        samples = with_tone(std::move(samples), hz, db_hz);
    const Tones tones = find_tones(made::recording(std::move(samples)));
    REQUIRE(tones.tones.size() == 3);
    // Harmonics to within what the two frequencies are known to.
    CHECK(std::abs(tones.tones[1].hz - 2.0 * tones.tones[0].hz) <
          4.0 * std::hypot(tones.tones[1].hz_sd, 2.0 * tones.tones[0].hz_sd) + 1e-6);
    CHECK(tones.tones[0].prominent == true);
}

TEST_CASE("nothing is analysed across a gap") {
    // The phase jumps by half a turn at the gap: across it the line would cancel in the middle of
    // its bin and read as two.
    const std::uint64_t seed = 31;
    INFO("seed " << seed);
    auto samples = noise(10.0, seed);
    const double amplitude = made::amplitude_over_noise(30.0, 0.01, made::rate_hz);
    made::add_tone(std::span(samples).first(240000), made::rate_hz, 3000.2, amplitude, 0.0);
    made::add_tone(std::span(samples).subspan(240000), made::rate_hz, 3000.2, amplitude,
                   2.0 * std::numbers::pi * std::fmod(3000.2 * 5.0, 1.0) + std::numbers::pi);
    Recording recording = made::recording(samples);
    recording.gaps = {240000};
    const Tones tones = find_tones(recording);
    REQUIRE(tones.tones.size() == 1);
    CHECK(std::abs(tones.tones[0].hz - 3000.2) < 4.0 * tones.tones[0].hz_sd);
    CHECK(tones.tones[0].level_dbfs == Approx(20.0 * std::log10(amplitude)).margin(0.6));
    CHECK(tones.tones[0].present > 0.9);
    CHECK(mentions(tones.notices, "lost in 1 place;"));
    CHECK(tones.seconds == Approx(10.0));
    // As adjacent, it is not one line there: the test's own proof that the gap matters.
    recording.gaps.clear();
    const Tones bridged = find_tones(recording);
    const Tone* tone = made::nearest(bridged.tones, 3000.2, 0.02);
    CHECK((tone == nullptr || tone->level_dbfs < 20.0 * std::log10(amplitude) - 3.0));
}

TEST_CASE("gaps at the ends, in a row and nearer than half a second do no harm") {
    Recording recording = made::recording(with_tone(noise(6.0, 32), 5000.4, 35.0));
    recording.gaps = {0, 1000, 1000, 20000, 40000, 287000, 288000};
    const Tones tones = find_tones(recording);
    REQUIRE(tones.tones.size() == 1);
    CHECK(std::abs(tones.tones[0].hz - 5000.4) < 4.0 * tones.tones[0].hz_sd);
    CHECK(tones.seconds == Approx(6.0));
    CHECK(mentions(tones.notices, "lost in 7 places"));
}

TEST_CASE("results do not depend on threads or on how the samples are cut") {
    const std::uint64_t seed = 41;
    INFO("seed " << seed);
    auto samples = with_tone(with_tone(noise(47.0, seed, 16000.0), 4000.3, 20.0, 16000.0), 1234.5, 32.0, 16000.0);
    Recording recording = made::recording(samples, 16000.0);
    recording.gaps = {16000 * 26};
    const Tones one = find_tones(recording, {0.001, 1});
    CHECK(one.tones.size() >= 2);
    check_same(one, find_tones(recording, {0.001, 2}));
    check_same(one, find_tones(recording, {0.001, 7}));
    scenes::Random random(seed);
    ToneFinder finder(16000.0, "made", {0.001, 2});
    for (std::size_t at = 0; at < samples.size();) {
        const std::size_t end = at < 16000 * 26 ? 16000 * 26 : samples.size();
        const auto piece = std::min<std::size_t>(static_cast<std::size_t>(random.log_uniform(1.0, 60000.0)), end - at);
        finder.add(std::span(samples).subspan(at, piece));
        at += piece;
        if (at == 16000 * 26) finder.add_gap();
    }
    check_same(one, finder.finish());
}

TEST_CASE("a loud tone that begins or ends is one line, and no change of the gain") {
    const std::uint64_t seed = 61;
    INFO("seed " << seed);
    for (const auto& [from, to] : {std::pair{6.2, 10.0}, std::pair{0.0, 3.8}, std::pair{3.0, 8.0}}) {
        INFO("from " << from << " s to " << to << " s");
        auto samples = made::white(static_cast<std::size_t>(10.0 * made::rate_hz), 2e-4, seed);
        for (const double hz : {4320.006, 8640.012, 12960.018})
            made::add_path(
                samples, made::rate_hz, [hz](double) { return hz; },
                [&](double t) { return t >= from && t < to ? 0.012 : 0.0; }, 0.3);
        const Tones tones = find_tones(made::recording(std::move(samples)));
        REQUIRE(tones.tones.size() == 3);
        for (const Tone& tone : tones.tones) {
            CHECK(tone.present == Approx((to - from) / 10.0).margin(0.07));
            CHECK(std::abs(tone.hz / std::round(tone.hz / 4320.006) - 4320.006) < 0.005);
        }
        for (const std::string& notice : tones.notices) CHECK(notice.find("gain") == std::string::npos);
    }
}

// Pulses at 20 Hz have 1000 lines up to 20 kHz, all as strong; at 100 Hz 200.
TEST_CASE("more steady lines than are looked at are told of, fewer are not") {
    const auto pulses = [](double hz) {
        std::vector<float> samples = noise(6.0, 7);
        for (double at = 100.0; at < static_cast<double>(samples.size()); at += made::rate_hz / hz)
            samples[static_cast<std::size_t>(at)] += 0.9f;
        return find_tones(made::recording(std::move(samples)));
    };
    CHECK(mentions(pulses(20.0).notices, "crowded: more steady lines"));
    CHECK(!mentions(pulses(100.0).notices, "crowded"));
}

TEST_CASE("more moving lines than are looked at are told of, fewer are not") {
    const auto moving = [](int count) {
        std::vector<float> samples = noise(6.0, 8);
        for (int line = 0; line < count; ++line) {
            const double middle = 1500.0 + 1000.0 * line, wide = 0.01 * middle, turns = 0.11 + 0.01 * line;
            double phase = line;
            for (std::size_t i = 0; i < samples.size(); ++i) {
                const double t = static_cast<double>(i) / made::rate_hz;
                phase += 2.0 * std::numbers::pi * (middle + wide * std::sin(2.0 * std::numbers::pi * turns * t)) /
                         made::rate_hz;
                samples[i] += static_cast<float>(0.01 * std::sin(phase));
            }
        }
        return find_tones(made::recording(std::move(samples)));
    };
    CHECK(mentions(moving(15).notices, "crowded: more lines that move"));
    const Tones few = moving(6);
    CHECK(std::count_if(few.tones.begin(), few.tones.end(), [](const Tone& tone) { return !tone.steady; }) >= 6);
    CHECK(!mentions(few.notices, "crowded"));
}
