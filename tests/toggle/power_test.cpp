// What a plan says that it finds, against trials; and that what is refused could not have proven anything.

#include <catch2/catch.hpp>

#include <cmath>

#include "board/sheet/sheet_reader.h"
#include "effectless.h"
#include "toggle/plan/power.h"
#include "toggle/trial/trial.h"
#include "toggled_sound.h"
#include "tones/find_tones.h"

using namespace tattletone;
using namespace tattletone::scenes;

namespace {

board::BoardSheet sheet() {
    auto reading = board::parse_sheet(
        "[board]\nname = \"B\"\n[[part]]\nid = \"a\"\n[[part.rate]]\nid = \"r\"\nhz = 2000\ntolerance_ppm = 20\nshape "
        "= \"sine\"\n",
        "b.toml");
    REQUIRE(reading.sheet);
    return std::move(*reading.sheet);
}

double share_proven(const toggle::Plan& plan, double tone_to_noise_db, double off_db, int recordings) {
    const board::BoardSheet board = sheet();
    int proven = 0;
    for (int i = 0; i < recordings; ++i) {
        Random random(700 + static_cast<std::uint64_t>(i));
        Performance performance;
        performance.sample_rate_hz = 6000.0;
        performance.start_seconds = random.uniform(0.0, plan.seconds());
        performance.seconds = plan.seconds() + plan.step_seconds;
        performance.lines = {{0, 2000.0, tone_to_noise_db, -1, 0.0, off_db}};
        const auto recording =
            recording_of(perform(performance, plan.step_seconds, plan.steps(), switching_of(plan), random), 6000.0);
        tones::Take take;
        take.found = tones::find_tones(recording);
        toggle::TrialOptions options;
        const auto trial =
            toggle::try_plan(plan, &board, recording, tones::unite({take}, nullptr), take.found, options);
        proven += trial && trial->parts[0].p <= toggle::proven_p;
    }
    return static_cast<double>(proven) / recordings;
}

}  // namespace

TEST_CASE("a plan finds what it says, nine times in ten, and little of what is far below", "[statistics]") {
    const toggle::PlanWish wish{{"a"}, 40.0, 0.5, false, 4};
    const auto plan = toggle::draw_plan(sheet(), wish);
    REQUIRE(plan);
    double low = -60.0, high = 0.0;  // where even a tone that goes away altogether is just found
    for (int i = 0; i < 20; ++i) {
        const double middle = 0.5 * (low + high);
        (toggle::smallest_change_db(*plan, 0.0, 2000.0, middle) ? high : low) = middle;
    }
    const double at = share_proven(*plan, high, -200.0, 60), below = share_proven(*plan, high - 3.0, -200.0, 60);
    CAPTURE(high, at, below);
    CHECK(at > 0.78);  // 0.9 less three standard deviations of 60 trials
    CHECK(below < 0.5);
    const auto change = toggle::smallest_change_db(*plan, 0.0, 2000.0, high + 10.0);
    REQUIRE(change);
    const double changed = share_proven(*plan, high + 10.0, -*change, 60);
    CAPTURE(*change, changed);
    CHECK(changed > 0.78);
}

TEST_CASE("longer plans find more, and parts cost little") {
    const auto with = [](double seconds, const std::vector<std::string>& parts) {
        auto reading =
            board::parse_sheet("[board]\nname = \"B\"\n[[part]]\nid = \"a\"\n[[part]]\nid = \"b\"\n", "b.toml");
        const auto plan = toggle::draw_plan(*reading.sheet, {parts, seconds, 0.5, false, 1});
        REQUIRE(plan);
        return toggle::power_of(*plan, 0.0).whole_from_db;
    };
    CHECK(with(30.0, {"a"}) > with(60.0, {"a"}) + 1.0);
    CHECK(with(60.0, {"a"}) > with(120.0, {"a"}) + 1.0);
    CHECK(with(60.0, {"a", "b"}) >= with(60.0, {"a"}));
    CHECK(with(60.0, {"a", "b"}) < with(60.0, {"a"}) + 0.5);
}

TEST_CASE("the shortest plan can still prove a clear effect, with all its parts", "[statistics]") {
    for (const std::size_t parts : {1u, 4u}) {
        int proven = 0;
        for (int i = 0; i < 10; ++i) {
            Random random(800 + static_cast<std::uint64_t>(i));
            toggle::Plan plan;
            toggle::Generator generator(random.bits());
            plan.columns = toggle::draw_columns(generator, parts, toggle::fewest_steps(parts));
            for (std::size_t k = 0; k < parts; ++k) plan.parts.push_back("p" + std::to_string(k));
            Performance performance;
            performance.sample_rate_hz = 6000.0;
            performance.seconds = plan.seconds() + 0.6;
            performance.lines = {{0, 2000.0, 5.0}};
            const auto recording =
                recording_of(perform(performance, plan.step_seconds, plan.steps(), switching_of(plan), random), 6000.0);
            tones::Take take;
            take.found = tones::find_tones(recording);
            const auto trial = toggle::try_plan(plan, nullptr, recording, tones::unite({take}, nullptr), take.found);
            REQUIRE(trial);
            proven += trial->parts[0].p <= toggle::proven_p;
        }
        INFO(parts << " parts");
        CHECK(proven >= 9);
    }
}

TEST_CASE("p-values are uniform where no part does anything", "[statistics]") {
    std::vector<double> values;
    for (int i = 0; i < 72; ++i) {
        Random random(5000 + static_cast<std::uint64_t>(i));
        toggle::Plan plan;
        plan.parts = {"a"};
        toggle::Generator generator(random.bits());
        plan.columns = toggle::draw_columns(generator, 1, 40);
        const auto recording = effectless(i, 21.0, random);
        tones::Take take;
        take.found = tones::find_tones(recording);
        toggle::TrialOptions options;
        options.draws = 99;
        options.enough_better = 1000;
        options.seed = static_cast<std::uint64_t>(i);
        const auto trial =
            toggle::try_plan(plan, nullptr, recording, tones::unite({take}, nullptr), take.found, options);
        if (!trial) continue;  // a real clip with too much silence in it
        values.push_back(trial->parts[0].p - random.uniform(0.0, 0.01));
    }
    REQUIRE(values.size() >= 60);
    std::sort(values.begin(), values.end());
    double distance = 0.0;
    const double count = static_cast<double>(values.size());
    for (std::size_t i = 0; i < values.size(); ++i)
        distance = std::max(
            {distance, static_cast<double>(i + 1) / count - values[i], values[i] - static_cast<double>(i) / count});
    // Kolmogorov's and Smirnov's limit of p = 0.01, 1.628 / √n (common tables). All 2000: bench/toggle_trials uniform.
    CHECK(distance < 1.628 / std::sqrt(count));
}
