// The trial on recordings whose truth is known: what is found, what is acquitted, and what recorders do to it.

#include <catch2/catch.hpp>

#include <cmath>

#include "board/sheet/sheet_reader.h"
#include "support/codec.h"
#include "support/skip.h"
#include "toggle/trial/trial.h"
#include "toggled_sound.h"
#include "tones/find_tones.h"

using namespace tattletone;
using namespace tattletone::scenes;

namespace {

constexpr double rate = 16000.0;

toggle::Plan plan_of(std::size_t parts, std::uint64_t seed, std::size_t steps = 80) {
    toggle::Plan plan;
    for (std::size_t i = 0; i < parts; ++i) plan.parts.push_back("part" + std::to_string(i));
    toggle::Generator generator(seed);
    plan.columns = toggle::draw_columns(generator, parts, steps);
    return plan;
}

toggle::Trial trial_on(const toggle::Plan& plan, const sound::Recording& recording,
                       const board::BoardSheet* sheet = nullptr) {
    tones::Take take;
    take.found = tones::find_tones(recording);
    const tones::UnitTones unit = tones::unite({take}, nullptr);
    auto trial = toggle::try_plan(plan, sheet, recording, unit, take.found);
    REQUIRE(trial);
    return std::move(*trial);
}

toggle::Trial trial_of(const toggle::Plan& plan, const Performance& performance, std::uint64_t seed,
                       const std::function<void(Signal&)>& then = {}, const board::BoardSheet* sheet = nullptr) {
    Random random(seed);
    Signal signal = perform(performance, plan.step_seconds, plan.steps(), switching_of(plan), random);
    if (then) then(signal);
    return trial_on(plan, recording_of(signal, performance.sample_rate_hz), sheet);
}

Performance whine(double tone_to_noise_db = 0.0) {
    Performance performance;
    performance.sample_rate_hz = rate;
    performance.seconds = 42.0;
    performance.lines = {{0, 2900.0, tone_to_noise_db}, {-1, 1100.0, 3.0}};
    return performance;
}

const toggle::Effect& effect_at(const toggle::Trial& trial, std::size_t part, double hz) {
    for (const toggle::Effect& effect : trial.parts[part].effects)
        if (std::abs(trial.lines[effect.line].hz - hz) < 3.0) return effect;
    FAIL("no effect at " << hz << " Hz");
    return trial.parts[part].effects[0];
}

}  // namespace

TEST_CASE("start, pace, effect and the innocent part") {
    const toggle::Plan plan = plan_of(2, 31);
    Performance performance = whine(-8.0);
    performance.start_seconds = 3.21;
    const toggle::Trial trial = trial_of(plan, performance, 1);
    REQUIRE(trial.alignment);
    CHECK(trial.alignment->start_seconds == Approx(3.21).margin(0.06));
    CHECK(std::abs(trial.alignment->pace) < 0.002);
    REQUIRE(trial.parts[0].drives == true);
    CHECK(trial.parts[0].p <= 0.001);
    CHECK(trial.parts[1].drives == false);
    CHECK(trial.parts[1].start_known);
    CHECK(trial.parts[1].unmoved.size() == 2);
    // A half-second band of 2 Hz holds the noise's critical band over 2 Hz less; on is that much and 1 over off.
    const double ratio = std::pow(10.0, -0.8) * critical_band_hz(2900.0) * 0.5;
    const toggle::Effect& effect = effect_at(trial, 0, 2900.0);
    const double true_db = 10.0 * std::log10(1.0 + ratio);
    INFO(effect.change_db << " ± " << effect.change_db_sd << " of " << true_db);
    CHECK(std::abs(effect.change_db - true_db) < 1.0);
    CHECK(effect.change_db_sd > 0.1);
    CHECK(effect.change_db_sd < 1.0);
}

TEST_CASE("a pace off by 2 %, cut beginnings, one pass with silence around it") {
    const toggle::Plan plan = plan_of(1, 32);
    for (const double pace : {-0.02, 0.013, 0.02}) {
        Performance performance = whine();
        performance.pace = pace;
        const toggle::Trial trial = trial_of(plan, performance, 2);
        INFO("pace " << pace);
        REQUIRE(trial.alignment);
        CHECK(trial.alignment->pace == Approx(pace).margin(0.0025));
        CHECK(trial.parts[0].drives == true);
    }
    Performance cut = whine();
    cut.start_seconds = -9.3;
    cut.once = true;
    cut.seconds = 30.0;
    const toggle::Trial late = trial_of(plan, cut, 3);
    REQUIRE(late.alignment);
    CHECK(late.alignment->start_seconds == Approx(-9.3).margin(0.1));
    CHECK(late.parts[0].drives == true);
    Performance once = whine();
    once.start_seconds = 7.4;
    once.once = true;
    once.seconds = 52.0;
    const toggle::Trial whole = trial_of(plan, once, 4);
    REQUIRE(whole.alignment);
    CHECK(whole.alignment->start_seconds == Approx(7.4).margin(0.1));
    CHECK(whole.parts[0].drives == true);
}

TEST_CASE("half a second lost, silent or without a trace") {
    const toggle::Plan plan = plan_of(1, 33);
    for (const bool silence : {true, false})
        for (const double at : {8.3, 20.1}) {
            const toggle::Trial trial =
                trial_of(plan, whine(), 5, [&](Signal& signal) { lose(signal, rate, at, 0.5, silence); });
            INFO("lost at " << at << (silence ? ", silent" : ", without a trace"));
            CHECK(trial.parts[0].drives == true);
            CHECK(trial.parts[0].p <= 0.001);
        }
}

TEST_CASE("automatic gain, and speech over it") {
    const toggle::Plan plan = plan_of(2, 34);
    const toggle::Trial leveled = trial_of(plan, whine(), 6, [](Signal& signal) { level_automatically(signal, rate); });
    CHECK(leveled.parts[0].drives == true);
    CHECK(leveled.parts[1].drives != true);
    // In speech nobody finds the whine as a tone; the sheet says where to look.
    const auto reading = board::parse_sheet(
        "[board]\nname = \"B\"\n[[part]]\nid = \"part0\"\n[[part.rate]]\nid = \"r\"\nhz = 2900\n"
        "tolerance_ppm = 50\n[[part]]\nid = \"part1\"\n",
        "spoken.toml");
    REQUIRE(reading.sheet);
    Random random(7);
    Room room = room_for_16_khz(random);
    room.speech = true;
    room.music = room.typing = room.knocks = room.rain = false;
    room.speech_db = 15.0;
    const toggle::Trial spoken = trial_of(
        plan, whine(), 8,
        [&](Signal& signal) {
            const Signal speech = background_at_16_khz(room, signal.size(), random);
            double loud = 0.0;
            for (const double sample : speech) loud += sample * sample / static_cast<double>(speech.size());
            // Some 23 dB over the noise of the recording, 35 dB over the whine.
            const double gain = 0.003 / std::sqrt(loud);
            for (std::size_t i = 0; i < signal.size(); ++i) signal[i] += gain * speech[i];
        },
        &*reading.sheet);
    CHECK(spoken.parts[0].drives == true);
    CHECK(spoken.parts[1].drives != true);
}

TEST_CASE("a codec at 24 kbit/s") {
    const toggle::Plan plan = plan_of(1, 35);
    Random random(9);
    auto recording =
        recording_of(perform(whine(3.0), plan.step_seconds, plan.steps(), switching_of(plan), random), rate);
    const Codec narrow{"aac 24", "aac", "24k", ".m4a", 7000.0};
    if (!squeeze(recording.samples, rate, narrow)) skip_test("ffmpeg is not there");
    const toggle::Trial trial = trial_on(plan, recording);
    CHECK(trial.parts[0].drives == true);
}

TEST_CASE("two parts that sing together are told apart, each with its share") {
    const toggle::Plan plan = plan_of(3, 36);
    Performance performance = whine();
    performance.lines = {{0, 2900.0, 2.0}, {1, 2907.0, 0.0}, {1, 1450.0, 0.0}};
    const toggle::Trial trial = trial_of(plan, performance, 10);
    CHECK(trial.parts[0].drives == true);
    CHECK(trial.parts[1].drives == true);
    CHECK(trial.parts[2].drives != true);
    CHECK(effect_at(trial, 1, 1450.0).change_db > 6.0);
}

TEST_CASE("a part that only moves another's pitch is told as that") {
    const toggle::Plan plan = plan_of(2, 37);
    Performance performance = whine();
    performance.lines = {{0, 2900.0, 5.0, 1, 60.0}};
    const toggle::Trial trial = trial_of(plan, performance, 11);
    CHECK(trial.parts[0].drives == true);
    CHECK_FALSE(trial.parts[0].moves_pitch);
    CHECK(trial.parts[1].drives == true);
    CHECK(trial.parts[1].moves_pitch);
}

TEST_CASE("a part that settles slowly is found when the sheet says how slowly") {
    const auto reading = board::parse_sheet(
        "[board]\nname = \"B\"\n[[part]]\nid = \"part0\"\nsettle_s = 0.5\n[[part]]\nid = \"part1\"\n", "slow.toml");
    REQUIRE(reading.sheet);
    toggle::Plan plan = plan_of(2, 38, 40);
    plan.step_seconds = 1.5;
    Performance performance = whine(-5.0);
    performance.seconds = 62.0;
    performance.lines[0].settle_seconds = 0.5;
    Random random(12);
    const auto recording = recording_of(perform(performance, 1.5, 40, switching_of(plan), random), rate);
    const toggle::Trial trial = trial_on(plan, recording, &*reading.sheet);
    CHECK(trial.parts[0].drives == true);
    CHECK(trial.parts[1].drives != true);
    plan.step_seconds = 1.0;
    tones::Take take;
    take.found = tones::find_tones(recording);
    const auto refused = toggle::try_plan(plan, &*reading.sheet, recording, tones::unite({take}, nullptr), take.found);
    REQUIRE_FALSE(refused);
    CHECK(refused.error().what.find("settling") != std::string::npos);
}

TEST_CASE("who sings all the time is acquitted though nothing follows the plan") {
    const toggle::Plan plan = plan_of(1, 39);
    Performance performance = whine();
    performance.lines = {{-1, 2900.0, 3.0}};
    const toggle::Trial trial = trial_of(plan, performance, 13);
    CHECK_FALSE(trial.alignment);
    CHECK(trial.parts[0].drives == false);
    CHECK(trial.parts[0].p > 0.05);
    CHECK(trial.parts[0].change_most_db < 3.0);
    performance.lines.clear();
    const toggle::Trial silent = trial_of(plan, performance, 14);
    CHECK_FALSE(silent.parts[0].drives.has_value());
}
