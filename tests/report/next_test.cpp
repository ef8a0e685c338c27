#include <catch2/catch.hpp>

#include <nlohmann/json.hpp>

#include "report/next_steps.h"
#include "report/sample_findings.h"
#include "report/text/next.h"
#include "report/text/text.h"
#include "report/words.h"
#include "support/names.h"

using namespace tattletone;

namespace {

Findings with_a_move() {
    Findings findings = sample::named();
    Experiment move;
    move.kind = Trial::moved_rate;
    move.what = "lamp.dimming";
    move.hz = 4297.0;
    move.todo = "Set lamp.dimming from 3906.2 Hz to 4297 Hz, and record again.";
    move.option = "--changed lamp.dimming=4297:FILE";
    move.minutes = 4.0;
    move.bits = 0.8;
    move.sure_now = 0.5;
    move.sure_after = 0.97;
    using Effect = Forecast::Effect;
    move.predictions = {{"lamp.dimming", 0.5, 2, 3906.3, Effect::moves, 4297.05, 0.99},
                        {"ranger.frame", 0.3, 2, 3906.3, Effect::stays, 0.0, 0.7},
                        {"", 0.2, 2, 3906.3, Effect::stays, 0.0, 0.3}};
    findings.next = {move};
    return findings;
}

}  // namespace

TEST_CASE("the next experiment in words") {
    Findings findings = with_a_move();
    CHECK(next_sentence(findings) ==
          "Set lamp.dimming from 3906.2 Hz to 4297 Hz, and record again (about 4 min). If lamp.dimming: the "
          "tone at 3906.3 Hz moves to 4297.1 Hz; if ranger.frame or something undeclared: it stays. One "
          "would be 0.97 sure on average, against 0.50 now.");
    findings.unit.room_given = true;  // else that comes first
    CHECK(next_step(findings) ==
          "Set lamp.dimming from 3906.2 Hz to 4297 Hz, and record again (about 4 min): --changed "
          "lamp.dimming=4297:FILE. If lamp.dimming: the tone at 3906.3 Hz moves to 4297.1 Hz; if ranger.frame or "
          "something undeclared: it stays.");
    const std::string text = next_text(findings, {});
    CHECK(text.find("Before all") == std::string::npos);
    findings.unit.room_given = false;
    CHECK(next_text(findings, {}).find("Before all: Record the room with the board off") != std::string::npos);
    CHECK(text.find("give it as --changed lamp.dimming=4297:FILE") != std::string::npos);
    CHECK(text.find("tells nearly all there is to tell between two") != std::string::npos);
    CHECK(text.find(" bit") == std::string::npos);
    CHECK(text.find("entropy") == std::string::npos);
    // Where all suspects predict the same nothing is told between them.
    Findings same = findings;
    same.next.push_back(same.next[0]);
    for (Forecast& prediction : same.next[0].predictions) prediction.effect = Forecast::Effect::goes;
    same.next[0].todo = "Stop the lamp and the ranger, and record again.";
    CHECK(experiments_listed(same) == 1);
    CHECK(next_text(same, {}).find("Stop the lamp") == std::string::npos);
    CHECK(next_sentence(same) == next_sentence(findings));
    CHECK(findings_text(same).find("Stop the lamp") == std::string::npos);
    CHECK(findings_text(same).find("Set lamp.dimming") != std::string::npos);
    Findings many = findings;
    while (many.next.size() < 11) many.next.push_back(many.next.back());
    many.notices = {"The search was cut."};
    CHECK(next_text(many, {}).find("… and 3 more, which tell less") != std::string::npos);
    CHECK(next_text(many, {}).find("! The search was cut.") != std::string::npos);
    CHECK(nlohmann::json::parse(next_json(many))["notices"].size() == 1);
    Findings hardly = findings;
    hardly.next[0].bits = 0.02;
    CHECK(next_sentence(hardly).empty());
    const auto json = nlohmann::json::parse(next_json(findings));
    CHECK(json["next"][0]["predictions"][0]["fate"] == "moves");
    CHECK(json["next"][0]["predictions"][2]["rate"].is_null());
    CHECK(json["next"][0]["bits_per_minute"] == 0.2);
}

TEST_CASE("where the answer is certain no experiments are ranked, but a confirmation is advised") {
    Findings findings = with_a_move();
    CHECK(next_text(findings, {}).find("1. Set lamp.dimming") != std::string::npos);
    findings.next[0].sure_now = 0.97;
    const std::string text = next_text(findings, {});
    CHECK(text.find("1. Set lamp.dimming") == std::string::npos);
    CHECK(text.find("as good as certain") != std::string::npos);
    CHECK(text.find("1. Record the room with the board off") != std::string::npos);
    CHECK(text.find("5 s: --room FILE") != std::string::npos);
    findings.unit.room_given = true;
    findings.states_left = {"idle"};
    CHECK(next_text(findings, {}).find("1. Record the state 'idle' too, 10 s: --state idle=FILE") != std::string::npos);
    CHECK(next_text(findings, {}).find("--off ranger:FILE") != std::string::npos);
}

TEST_CASE("the sound card's error is told with what it is from") {
    Findings findings = sample::named();
    CHECK(card_words(findings).empty());
    findings.card_error_ppm = 37.2;
    findings.card_error_ppm_sd = 8.04;
    findings.card_error_from = {"screen.line"};
    CHECK(card_words(findings) ==
          "The sound card reads frequencies 37.2 ± 8.0 ppm high, from screen.line; this narrows the windows of all "
          "rates.");
}

TEST_CASE("what stays although its part was off asks first whether the part stopped") {
    Findings findings = sample::unknown(true);
    findings.rivals = {{RivalKind::twin, 0.9, 9600.0, 0.01, 9600.0, 9600.0, {1}, "ranger.frame", "another part"}};
    const auto asks = [&] {
        const auto steps = next_steps(findings);
        return std::any_of(steps.begin(), steps.end(), [](const NextStep& step) {
            return step.todo.starts_with("See whether ranger really stops") && step.option == "--off ranger:FILE";
        });
    };
    CHECK(!asks());  // nothing was switched off
    findings.unit.takes[0].changes = {{"ranger", 0.0}};
    CHECK(asks());
    findings.rivals[0].probability = 0.4;
    CHECK(!asks());
}
