// Referee of MODEL.md 16.

#include <catch2/catch.hpp>

#include <cmath>

#include "match/cases.h"
#include "match/experiments/experiments.h"
#include "match/experiments/trials.h"
#include "match/model/parameters.h"
#include "support/names.h"

using namespace tattletone;
using namespace tattletone::cases;

namespace {

const Experiment* find(const Findings& findings, Trial kind, const std::string& what = "") {
    for (const Experiment& experiment : findings.next)
        if (experiment.kind == kind && (what.empty() || experiment.what == what)) return &experiment;
    return nullptr;
}

/// Two rates that look the same: the lamp, which can be set, and the ranger, which runs in one state only.
BoardSheet twins() {
    auto board = Board()
                     .states({"idle", "ranging"})
                     .rate("lamp.dimming", 3906.25, 50, Shape::square)
                     .rate("ranger.frame", 3906.25, 50, Shape::square, {1});
    BoardSheet sheet = board.sheet();
    sheet.parts = {part("lamp", "Lamp"), part("ranger", "Ranger")};
    sheet.rates[1].part = 1;
    sheet.rates[0].adjustable = true;
    return sheet;
}

UnitTones heard_when_ranging() {
    return unite({take({tone(3906.3, 20)}, "ranging")}, nullptr);
}

}  // namespace

TEST_CASE("the next experiment: what is possible, and what it predicts") {
    const BoardSheet sheet = twins();
    const auto findings = diagnose(&sheet, heard_when_ranging());
    const Experiment* state = find(findings, Trial::state);
    REQUIRE(state);
    CHECK(state->what == "idle");
    CHECK(state->option == "--state idle=FILE");
    const Experiment* move = find(findings, Trial::moved_rate);
    REQUIRE(move);
    CHECK(move->option == "--changed lamp.dimming=4297:FILE");
    CHECK(!find(findings, Trial::moved_rate, "ranger.frame"));  // not adjustable
    REQUIRE(move->predictions.size() >= 2);
    for (const Forecast& prediction : move->predictions) {
        if (prediction.rate == "lamp.dimming") {
            CHECK(prediction.effect == Forecast::Effect::moves);
            // 3906.3 + 3906.25 (4297 / 3906.25 - 1)
            CHECK(prediction.hz == Approx(4297.05).margin(0.01));
        } else {
            CHECK(prediction.effect == Forecast::Effect::stays);
        }
        CHECK(prediction.after > prediction.probability);
    }
    for (const Experiment& experiment : findings.next) {
        INFO(experiment.todo);
        CHECK(experiment.bits >= 0.01);
        CHECK(experiment.sure_after >= experiment.sure_now - 1e-9);
        CHECK(experiment.sure_after <= 1.0);
        CHECK(experiment.minutes == effort_minutes(experiment.kind));
        const bool hands =
            experiment.kind == Trial::press || experiment.kind == Trial::warm || experiment.kind == Trial::load;
        CHECK(experiment.caution.empty() != (hands || experiment.kind == Trial::moved_rate));
    }
    for (std::size_t i = 1; i < findings.next.size(); ++i)
        CHECK(findings.next[i - 1].bits_per_minute() >= findings.next[i].bits_per_minute());
}

TEST_CASE("the expected drop of entropy, by hand") {
    // Ways a and b, one half each; in the state 'idle' b does not run. Outcomes: stays, goes.
    // P(stays | a) = s, P(goes | b) = 1 - e, with s = sings_when_active = 0.95 and e = state_error = 0.003.
    // P(stays) = (s + e) / 2 = 0.4765; H(stays) = h(0.95 / 0.953) = 0.03075; H(goes) = h(0.05 / 1.047) = 0.27663;
    // drop = 1 - 0.4765 · 0.03075 - 0.5235 · 0.27663 = 0.84053 bit (h: binary entropy).
    BoardSheet sheet = twins();
    Findings findings;
    findings.unit = heard_when_ranging();
    findings.attributions = {{0.5, {{1, 0, LineKind::harmonic, 1, -1, 3906.25, 0.0}}},
                             {0.5, {{1, 1, LineKind::harmonic, 1, -1, 3906.25, 0.0}}}};
    MatchParameters parameters = fitted_parameters();
    parameters.sings_when_active = 0.95;
    parameters.state_error = 0.003;
    findings.next = next_experiments(sheet, findings, parameters);
    const Experiment* state = find(findings, Trial::state);
    REQUIRE(state);
    CHECK(state->bits == Approx(0.8405).margin(0.02));  // outcomes outside the model have 0.002 each
    CHECK(state->sure_now == Approx(0.5));
    CHECK(state->sure_after == Approx(0.475 + 0.4985).margin(0.005));
    // Certain from the start: nothing is left to tell.
    findings.attributions = {{1.0, findings.attributions[0].made}};
    CHECK(next_experiments(sheet, findings, parameters).empty());
}

TEST_CASE("the new value keeps clear of other tones and windows, and of its limits") {
    BoardSheet sheet = twins();
    const auto option = [&](const UnitTones& unit) {
        const Findings findings = diagnose(&sheet, unit);
        const Experiment* move = find(findings, Trial::moved_rate);
        return move ? move->hz : 0.0;
    };
    const double free = option(heard_when_ranging());
    CHECK(free == 4297.0);
    // A tone of the room stands where the line would go.
    CHECK(option(unite({take({tone(3906.3, 20), tone(4297.0, 20, Origin::room)}, "ranging")}, nullptr)) != free);
    sheet.rates[0].adjust_min_hz = 3000;
    sheet.rates[0].adjust_max_hz = 4200;
    const double limited = option(heard_when_ranging());
    CHECK(limited <= 4200);
    CHECK(limited >= 3000);
    CHECK(limited != Approx(3906.25).margin(20));
}

TEST_CASE("what was done is not proposed again, and what it showed is used") {
    const BoardSheet sheet = twins();
    auto moved = take({tone(4297.05, 20)}, "ranging");
    moved.changes.push_back({"lamp.dimming", 4297});
    const auto findings = diagnose(&sheet, unite({take({tone(3906.3, 20)}, "ranging"), moved}, nullptr));
    CHECK(probability(findings, "lamp.dimming") > 0.99);
    CHECK(!find(findings, Trial::moved_rate));
    for (const Experiment& experiment : findings.next) CHECK(experiment.bits < 0.2);
}

TEST_CASE("after the room the far take, where a stranger may make the tone") {
    const auto board = Board().rate("pump.drive", 3200, 30000);
    const std::vector<Tone> line{tone(3230.0, 35.0)};
    const Tones silence = take({}).found;
    CHECK(!find(diagnose(&board.sheet(), one_take(line)), Trial::far));
    const Findings findings = diagnose(&board.sheet(), unite({take(line)}, &silence));
    const Experiment* far = find(findings, Trial::far);
    REQUIRE(far);
    CHECK(far->option == "--far FILE");
    REQUIRE(far->predictions.size() == 2);
    for (const Forecast& prediction : far->predictions)
        CHECK(prediction.effect == (prediction.rate.empty() ? Forecast::Effect::stays : Forecast::Effect::falls));
    CHECK(!find(diagnose(&board.sheet(), unite({take(line)}, &silence, {take({})})), Trial::far));
}

TEST_CASE("nothing heard, nothing to tell apart") {
    const BoardSheet sheet = twins();
    CHECK(diagnose(&sheet, unite({take({}, "ranging")}, nullptr)).next.empty());
    CHECK(diagnose(nullptr, unite({take({tone(3906.3)})}, nullptr)).next.empty());
}

TEST_CASE("an image is told by the sample rate, a burst by load, an oscillator by warmth") {
    // 31372.549 Hz stands at 16627.451 Hz in a recording of 48 kHz and at 12727.451 Hz in one of 44.1 kHz.
    const auto board = Board().rate("motor.drive", 31372.549, 20).rate("valve.hold", 16627.5, 20, Shape::sine);
    const Findings image = diagnose(&board.sheet(), one_take({tone(16627.451)}));
    const Experiment* rate = find(image, Trial::sample_rate);
    REQUIRE(rate);
    CHECK(rate->hz == 44100.0);
    bool told = false;
    for (const Forecast& prediction : rate->predictions)
        if (prediction.rate == "motor.drive") {
            told = true;
            CHECK(prediction.effect == Forecast::Effect::moves);
            CHECK(prediction.hz == Approx(12727.451).margin(0.1));
        }
    CHECK((told || probability(image, "motor.drive") < 0.05));

    const auto converter = Board().wandering("regulator.burst", 2000, 40000).rate("pump.drive", 5000, 30000);
    const Findings burst = diagnose(&converter.sheet(), one_take({moving(5000, -0.03)}));
    REQUIRE(find(burst, Trial::load));
    REQUIRE(find(burst, Trial::warm));
    CHECK(!find(burst, Trial::sample_rate));
}
