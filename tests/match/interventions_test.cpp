// Referee of MODEL.md 3.1 (settings), 4.5 and 8.1.

#include <catch2/catch.hpp>

#include "match/cases.h"
#include "support/names.h"

using namespace tattletone;
using namespace tattletone::cases;

namespace {

Take changed(Take take, const std::string& what, double hz) {
    take.changes.push_back({what, hz});
    return take;
}

/// 3906.25 Hz = 16 MHz / 4096: a lamp's timer and a pump that could be the same.
Board lamp_and_pump() {
    return Board().rate("lamp.dimming", 3906.25, 50, Shape::square).rate("pump.drive", 3906.25, 50, Shape::square);
}

}  // namespace

TEST_CASE("a rate that is moved takes its lines with it") {
    const auto board = lamp_and_pump();
    const auto before = diagnose(&board.sheet(), one_take({tone(3906.3), tone(11718.9)}));
    CHECK(probability(before, "lamp.dimming") == Approx(probability(before, "pump.drive")).margin(1e-6));
    // 4297 / 3906.25 = 1.100032: the third harmonic goes to 12891.0 Hz.
    const auto moves =
        diagnose(&board.sheet(), unite({take({tone(3906.3), tone(11718.9)}),
                                        changed(take({tone(4297.06), tone(12891.2)}), "lamp.dimming", 4297)},
                                       nullptr));
    INFO(reasons(moves, "lamp.dimming"));
    CHECK(probability(moves, "lamp.dimming") > 0.99);
    CHECK(probability(moves, "pump.drive") < 0.05);
    CHECK(
        reasons(moves, "lamp.dimming")
            .find("with lamp.dimming at 4297 Hz, the tones at 3906.3 Hz and 11719 Hz moved to 4297.1 Hz and 12891 Hz, "
                  "as its lines would") != std::string::npos);
    REQUIRE(moves.outcomes.size() == 1);
    const int moved_id = 2;
    REQUIRE(moves.explained_by.count(moved_id) == 1);
    CHECK(moves.explained_by.at(moved_id)[0].rate == "lamp.dimming");
    CHECK(moves.explained_by.at(moved_id)[0].expected_hz == Approx(4297.0));

    const auto stays = diagnose(
        &board.sheet(),
        unite({take({tone(3906.3), tone(11718.9)}), changed(take({tone(3906.3), tone(11718.9)}), "lamp.dimming", 4297)},
              nullptr));
    INFO(reasons(stays, "pump.drive"));
    CHECK(probability(stays, "pump.drive") > 0.95);
    CHECK(probability(stays, "lamp.dimming") < 0.05);
    REQUIRE(stays.outcomes.size() == 1);
    CHECK(stays.outcomes[0].find("stayed: not its lines, unless the change did not take effect") != std::string::npos);
}

TEST_CASE("a moved rate's divider need not make exactly what was asked for") {
    const auto board = lamp_and_pump();
    const auto findings =
        diagnose(&board.sheet(),
                 unite({take({tone(3906.3)}), changed(take({tone(4297.0 * 1.0008)}), "lamp.dimming", 4297)}, nullptr));
    CHECK(probability(findings, "lamp.dimming") > 0.9);
    const auto far =
        diagnose(&board.sheet(),
                 unite({take({tone(3906.3)}), changed(take({tone(4297.0 * 1.02)}), "lamp.dimming", 4297)}, nullptr));
    CHECK(probability(far, "lamp.dimming") < probability(findings, "lamp.dimming") - 0.3);
}

TEST_CASE("a moved line that is nowhere to be found counts against the rate") {
    const auto board = lamp_and_pump();
    const auto loud =
        diagnose(&board.sheet(), unite({take({tone(3906.3, 35)}), changed(take({}), "lamp.dimming", 4297)}, nullptr));
    const auto faint =
        diagnose(&board.sheet(), unite({take({tone(3906.3, 2)}), changed(take({}), "lamp.dimming", 4297)}, nullptr));
    // Gone, so it was the lamp's rather than the pump's, which did not change; the more so the fainter it was.
    CHECK(probability(loud, "lamp.dimming") < probability(faint, "lamp.dimming"));
}

TEST_CASE("a part that is off takes its lines with it") {
    const auto board = lamp_and_pump();
    const auto without = [&](std::vector<Tone> left) {
        return diagnose(&board.sheet(),
                        unite({take({tone(3906.3)}), changed(take(std::move(left)), "pump.drive", 0.0)}, nullptr));
    };
    const auto gone = without({}), stays = without({tone(3906.3)});
    CHECK(probability(gone, "pump.drive") > 0.85);
    CHECK(probability(gone, "lamp.dimming") < 0.2);
    CHECK(probability(stays, "lamp.dimming") > 0.95);
    CHECK(probability(stays, "pump.drive") < 0.2);  // as far as it may sing unnoticed beside the lamp
    CHECK(gone.outcomes.at(0).find("with pump.drive off, the tone at 3906.3 Hz is gone") != std::string::npos);
}

TEST_CASE("an image moves with the sample rate, a true tone stays") {
    // 31372.549 Hz = 16 MHz / 510. Folded at 48 kHz: 16627.451 Hz, at 44.1 kHz: 12727.451 Hz.
    const auto board = Board().rate("motor.drive", 31372.549, 20).rate("valve.hold", 16627.5, 20, Shape::sine);
    const auto at = [](std::vector<Tone> tones, double rate) {
        Take made = take(std::move(tones));
        made.found.sample_rate_hz = rate;
        return made;
    };
    const auto moves =
        diagnose(&board.sheet(), unite({at({tone(16627.45)}, 48000), at({tone(12727.45)}, 44100)}, nullptr));
    const auto stays =
        diagnose(&board.sheet(), unite({at({tone(16627.45)}, 48000), at({tone(16627.45)}, 44100)}, nullptr));
    INFO(reasons(moves, "motor.drive"));
    CHECK(probability(moves, "motor.drive") > 0.9);
    CHECK(probability(moves, "valve.hold") < 0.3);
    CHECK(probability(stays, "valve.hold") > 0.95);
    CHECK(probability(stays, "motor.drive") < 0.05);
}

TEST_CASE("two takes without a change are the same evidence as ever") {
    const auto board = lamp_and_pump();
    auto odd = take({tone(3906.3)});
    odd.changes.push_back({"lamp.dimming", 3906.25});  // set to what it is
    const auto plain = diagnose(&board.sheet(), unite({take({tone(3906.3)}), take({tone(3906.3)})}, nullptr));
    const auto same = diagnose(&board.sheet(), unite({take({tone(3906.3)}), odd}, nullptr));
    for (const char* name : {"lamp.dimming", "pump.drive"})
        CHECK(probability(plain, name) == Approx(probability(same, name)).margin(1e-12));
}

// Five lines that move with the setting, and the 12 ppm of their crystal in both: nobody undeclared explains both
// better.
TEST_CASE("a comb that moves as it was told is its rate's, however exact it is") {
    const Board board = Board().rate("sounder", 3200.0, 30).wandering("regulator", 2500, 30000);
    for (const double set_hz : {2600.0, 2944.0, 3200.4, 3520.0}) {
        std::vector<Tone> before, after;
        for (int n = 1; n <= 5; ++n) {
            before.push_back(tone(n * 3200.0 * (1.0 + 12e-6), 20.0 - 2.0 * n));
            after.push_back(tone(n * set_hz * (1.0 + 12e-6), 20.0 - 2.0 * n));
        }
        Take moved = take(after);
        moved.changes = {{"sounder", set_hz}};
        const auto findings = diagnose(&board.sheet(), unite({take(before), moved}, nullptr));
        INFO(set_hz << " Hz");
        CHECK(probability(findings, "sounder") > 0.95);
        CHECK(probability(findings, "regulator") < 0.1);
        // A divider makes what it can: 0.04 % from what was asked for.
        moved.changes = {{"sounder", set_hz * 1.0004}};
        CHECK(probability(diagnose(&board.sheet(), unite({take(before), moved}, nullptr)), "sounder") > 0.95);
    }
}

TEST_CASE("two steady combs in two takes are not one source that wandered") {
    const Board board = Board().rate("sounder", 3200.0, 30).wandering("regulator", 2500, 30000);
    std::vector<Tone> before, after;
    for (int n = 1; n <= 5; ++n) {
        before.push_back(tone(n * 3200.0, 20.0 - 2.0 * n));
        after.push_back(tone(n * 2944.0, 20.0 - 2.0 * n));
    }
    const auto findings = diagnose(&board.sheet(), unite({take(before), take(after)}, nullptr));
    CHECK(findings.unit.tones.size() == 10);
    CHECK(probability(findings, "regulator") < 0.3);
}
