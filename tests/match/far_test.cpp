// Referee of MODEL.md 21: what a tone's fall says, the microphone having moved from 3 cm to 60 cm.

#include <catch2/catch.hpp>

#include "cases.h"
#include "match/diagnose.h"
#include "match/far_fall.h"
#include "match/model/gauss.h"
#include "match/model/parameters.h"

using namespace tattletone;
using namespace tattletone::cases;
using match::FarEvidence;
using match::FarSays;

namespace {

const MatchParameters p = fitted_parameters();

/// The same lines, fainter by `fall_db`.
std::vector<Tone> fainter(std::vector<Tone> tones, double fall_db) {
    for (Tone& tone : tones) tone.level_dbfs -= fall_db;
    return tones;
}

const UnitTone& tone_at(const UnitTones& unit, double hz) {
    for (const UnitTone& tone : unit.tones)
        if (std::abs(tone.tone.hz / hz - 1.0) < 1e-3) return tone;
    FAIL("no tone at " << hz << " Hz");
    return unit.tones[0];
}

double fall_at(const UnitTones& unit, double hz) {
    REQUIRE(tone_at(unit, hz).far_fall);
    CHECK(tone_at(unit, hz).far_fall->heard);
    return tone_at(unit, hz).far_fall->db;
}

Findings with_falls(const BoardSheet& sheet, const std::vector<Tone>& near, const std::vector<double>& falls_db) {
    std::vector<Tone> far;
    for (std::size_t i = 0; i < near.size(); ++i) far.push_back(fainter({near[i]}, falls_db[i])[0]);
    return diagnose(&sheet, unite({take(near)}, nullptr, {take(far)}));
}

UnitTone fell(const FarFall& fall) {
    UnitTone tone;
    tone.far_fall = fall;
    return tone;
}

}  // namespace

TEST_CASE("a far take tells how far each tone fell, and is no take") {
    const std::vector<Tone> near{tone(1000.0, 40.0), tone(3000.0, 30.0), tone(5000.0, 12.0)};
    const UnitTones unit =
        unite({take(near)}, nullptr, {take({fainter({near[0]}, 26.0)[0], fainter({near[1]}, 3.0)[0], tone(9000.0)})});
    CHECK(unit.takes.size() == 1);
    CHECK(unit.far.size() == 1);
    REQUIRE(unit.tones.size() == 3);  // what only the far take has is none of the unit's
    CHECK(fall_at(unit, 1000.0) == Approx(26.0));
    CHECK(fall_at(unit, 3000.0) == Approx(3.0));
    const auto& unheard = unit.tones[2].far_fall;
    REQUIRE(unheard);
    CHECK(!unheard->heard);
    CHECK(unheard->db == Approx(12.0));  // to where it would have been found
    for (const UnitTone& tone : unit.tones) CHECK(tone.heard_in.size() == 1);
}

TEST_CASE("the uncertainty of a fall is that of two amplitudes in noise") {
    // Cramér-Rao: sd of an amplitude in dB = 20/ln 10 / sqrt(2 T P/N0); in `take` T = 10 s, N0 = -115 dBFS/Hz.
    const std::vector<Tone> near{tone(1000.0, 40.0)};
    const UnitTones unit = unite({take(near)}, nullptr, {take(fainter(near, 26.0))});
    const auto sd = [](double level_dbfs) {
        return 8.685889638 / std::sqrt(2.0 * 10.0 * std::pow(10.0, 0.1 * (level_dbfs + 115.0)));
    };
    CHECK(unit.tones[0].far_fall->sd_db == Approx(std::hypot(sd(-50.0), sd(-76.0))));
}

TEST_CASE("a far take is compared with the takes of its state, as the board was") {
    const std::vector<Tone> loud{tone(1000.0, 40.0)};
    const auto unit = [&](const std::string& state) {
        return unite({take(loud, "idle"), take(fainter(loud, 10.0), "busy")}, nullptr,
                     {take(fainter(loud, 30.0), state)});
    };
    CHECK(fall_at(unit("idle"), 1000.0) == Approx(30.0));
    CHECK(fall_at(unit("busy"), 1000.0) == Approx(20.0));
    CHECK(fall_at(unit(""), 1000.0) == Approx(25.0));
    // What is not heard in each of them may be silent for its own reasons.
    CHECK(!unite({take(loud, "idle"), take({}, "idle")}, nullptr, {take({}, "idle")}).tones[0].far_fall);
    CHECK(unite({take(loud, "idle"), take({}, "busy")}, nullptr, {take({}, "idle")}).tones[0].far_fall);
    Take changed = take(loud);
    changed.changes.push_back({"lamp", 0.0});
    CHECK(!unite({changed}, nullptr, {take(fainter(loud, 26.0))}).tones[0].far_fall);
}

TEST_CASE("several far takes tell their mean, and one that hears tells more than one that does not") {
    const std::vector<Tone> near{tone(1000.0, 30.0)};
    const auto far = [&](double fall_db) { return take(fainter(near, fall_db)); };
    CHECK(fall_at(unite({take(near)}, nullptr, {far(20.0), far(26.0)}), 1000.0) == Approx(23.0));
    CHECK(fall_at(unite({take(near)}, nullptr, {take({}), far(26.0)}), 1000.0) == Approx(26.0));
    CHECK(fall_at(unite({take(near)}, nullptr, {far(26.0), take({})}), 1000.0) == Approx(26.0));
}

TEST_CASE("what moved on between the takes is still the same line, and what may have is not missing") {
    const std::vector<Tone> motor{moving(1310.0, 0.004, 20.0), moving(2620.0, 0.004, 20.0)};
    const std::vector<Tone> later{moving(1350.0, 0.004, 17.0), moving(2700.0, 0.004, 19.0)};
    const UnitTones unit = unite({take(motor)}, nullptr, {take(later)});
    CHECK(fall_at(unit, 1310.0) == Approx(3.0));
    CHECK(fall_at(unit, 2620.0) == Approx(1.0));
    CHECK(!unite({take({motor[0]})}, nullptr, {take({moving(1420.0, 0.004, 17.0)})}).tones[0].far_fall);
    CHECK(unite({take({motor[0]})}, nullptr, {take({})}).tones[0].far_fall);
}

TEST_CASE("one tone's evidence is the densities of its fall, smeared over the distances") {
    // By quadrature of what MODEL.md 21 says, on a grid of its own.
    const auto smeared = [&](double fall_db, double mean_db, double common_sd, double sd) {
        double sum = 0.0, weights = 0.0;
        for (double z = -2.8; z <= 2.8; z += 0.001) {
            const double weight = std::exp(-0.5 * z * z);
            weights += weight;
            sum += weight * std::exp(match::log_normal_density(fall_db, mean_db + z * common_sd, sd));
        }
        return sum / weights;
    };
    for (const double fall_db : {-5.0, 0.0, 8.0, 15.0, 24.0, 32.0}) {
        INFO(fall_db << " dB");
        const FarEvidence evidence = match::far_evidence(fell({true, fall_db, 1.0, 1}), 1.0, p);
        const FarEvidence* const one[] = {&evidence};
        const double board =
            smeared(fall_db, p.far_board_fall_db, p.far_distance_sd_db, std::hypot(p.far_line_sd_db, 1.0));
        const double room = smeared(fall_db, 0.0, p.far_room_distance_sd_db, std::hypot(p.far_room_line_sd_db, 1.0));
        CHECK(match::log_fall(one, 0.0) == Approx(std::log(board)).margin(0.03));
        CHECK(match::log_fall(one, 1.0) == Approx(std::log(room)).margin(0.03));
        CHECK(evidence.log_stray == Approx(std::log(p.far_beside * board + (1.0 - p.far_beside) * room)).margin(0.03));
    }
}

TEST_CASE("what is not heard from afar speaks for the board or not at all") {
    for (double at_least_db = 1.0; at_least_db < 60.0; at_least_db += 3.0) {
        INFO(at_least_db << " dB");
        const FarEvidence evidence = match::far_evidence(fell({false, at_least_db, 0.0, 1}), 1.0, p);
        const FarEvidence* const one[] = {&evidence};
        CHECK(match::log_fall(one, 0.0) >= match::log_fall(one, 1.0) - 1e-9);
        CHECK(match::log_fall(one, 0.0) >= evidence.log_stray - 1e-9);
        CHECK(match::log_fall(one, 1.0) >= std::log(1.0 - p.background_in_take));  // it may have ended
    }
    CHECK(match::far_says({false, 25.0, 0.0, 1}, p) == FarSays::board);
    CHECK(match::far_says({false, 3.0, 0.0, 1}, p) == FarSays::nothing);
    CHECK(match::far_says({true, 24.0, 0.5, 1}, p) == FarSays::board);
    CHECK(match::far_says({true, 12.0, 0.5, 1}, p) == FarSays::nothing);
    CHECK(match::far_says({true, 1.0, 0.5, 1}, p) == FarSays::room);
    CHECK(match::far_says({true, -8.0, 0.5, 1}, p) == FarSays::room);
}

TEST_CASE("what fell is the board's, what did not accuses nobody") {
    const auto board = Board().rate("lamp.dimming", 3200, 50).rate("link.frame", 9000, 30);
    const std::vector<Tone> lines{tone(3200.05, 40.0), tone(6400.1, 38.0), tone(9600.15, 35.0)};
    const double alone = probability(diagnose(&board.sheet(), one_take(lines)), "lamp.dimming");
    const Findings fell = with_falls(board.sheet(), lines, {26.0, 21.0, 24.0});
    CHECK(probability(fell, "lamp.dimming") >= alone - 1e-6);
    CHECK(fell.verdict == Verdict::named);
    CHECK(reasons(fell, "lamp.dimming")
              .find("fell by 21 to 26 dB when the microphone moved from 3 to 60 cm: they come "
                    "from the board") != std::string::npos);
    const Findings stayed = with_falls(board.sheet(), lines, {2.0, -5.0, 9.0});
    CHECK(probability(stayed, "lamp.dimming") < 0.2);
    CHECK(stayed.verdict == Verdict::quiet);
    for (const UnitTone& tone : stayed.unit.tones) CHECK(tone.tone.origin == Origin::room);
}

TEST_CASE("a stray in a wide window is acquitted or accused by how it falls") {
    const auto board = Board().rate("pump.drive", 3200, 30000);
    const std::vector<Tone> line{tone(3230.0, 35.0)};
    const double alone = probability(diagnose(&board.sheet(), one_take(line)), "pump.drive");
    const double fell = probability(with_falls(board.sheet(), line, {25.0}), "pump.drive");
    const double stayed = probability(with_falls(board.sheet(), line, {1.0}), "pump.drive");
    const double unclear = probability(with_falls(board.sheet(), line, {12.5}), "pump.drive");
    INFO(alone << ' ' << fell << ' ' << stayed << ' ' << unclear);
    CHECK(fell > alone + 0.05);
    CHECK(stayed < 0.1 * alone);
    CHECK(std::abs(unclear - alone) < 0.15);
}

TEST_CASE("a tone missing from afar lowers no rate") {
    const auto board = Board().rate("lamp.dimming", 3200, 50).rate("pump.drive", 5100, 30000);
    for (const double over_db : {3.0, 8.0, 20.0, 40.0}) {
        const std::vector<Tone> lines{tone(3200.05, over_db), tone(6400.1, over_db), tone(5150.0, over_db)};
        const Findings alone = diagnose(&board.sheet(), one_take(lines));
        const Findings with = diagnose(&board.sheet(), unite({take(lines)}, nullptr, {take({})}));
        for (const char* rate : {"lamp.dimming", "pump.drive"}) {
            INFO(rate << ", " << over_db << " dB");
            CHECK(probability(with, rate) >= probability(alone, rate) - 0.005);
        }
    }
}

TEST_CASE("a microphone that was not moved tells nothing, and that is told") {
    const auto board = Board().rate("lamp.dimming", 3200, 50);
    const std::vector<Tone> lines{tone(3200.05, 40.0), tone(6400.1, 38.0), tone(9600.15, 35.0), tone(12800.2, 30.0),
                                  tone(4321.0, 20.0)};
    const Findings same = with_falls(board.sheet(), lines, {0.3, -0.4, 0.2, 0.8, -0.5});
    CHECK(probability(same, "lamp.dimming") ==
          Approx(probability(diagnose(&board.sheet(), one_take(lines)), "lamp.dimming")).margin(1e-6));
    REQUIRE(!same.notices.empty());
    CHECK(same.notices[0].find("hardly moved") != std::string::npos);
    for (const UnitTone& tone : same.unit.tones) CHECK(!tone.far_fall);
    CHECK(with_falls(board.sheet(), lines, {3.0, -8.0, 1.0, 12.0, -2.0}).notices.empty());
}

TEST_CASE("without a sheet too, what did not fall is the room's") {
    const std::vector<Tone> lines{tone(3200.05, 40.0), tone(4321.0, 38.0)};
    const Findings found =
        diagnose(nullptr, unite({take(lines)}, nullptr, {take({tone(3200.05, 15.0), tone(4321.0, 36.0)})}));
    CHECK(found.unit.tones[0].tone.origin == Origin::board);
    CHECK(found.unit.tones[1].tone.origin == Origin::room);
    CHECK(found.unit.tones[1].tone.rejection ==
          "of the room: its source is hardly fainter at 60 cm from the board than at 3 cm");
}

TEST_CASE("how a moving line's level swings: the densities, and what they do to a converter") {
    const MatchParameters p = fitted_parameters();
    // Densities over ln w: each sums to 1 (MODEL.md 22).
    double near = 0.0, afar = 0.0;
    constexpr double step = 0.01;
    for (double x = std::log(0.03); x < std::log(60.0); x += step) {
        near += step * std::exp(match::log_swing_near({std::exp(x), 9.0}, p));
        afar += step * std::exp(match::log_swing_afar({std::exp(x), 9.0}, p));
    }
    CHECK(near == Approx(1.0).margin(0.02));  // what lies under 0.03 dB is left out
    CHECK(afar == Approx(1.0).margin(0.005));
    CHECK(match::log_swing_near({0.1, 9.0}, p) > match::log_swing_afar({0.1, 9.0}, p) + 1.0);
    CHECK(match::log_swing_near({5.0, 9.0}, p) < match::log_swing_afar({5.0, 9.0}, p) - 1.0);

    const auto board = Board().wandering("core.burst", 3000, 20000);
    const auto sure = [&](std::optional<LevelSwing> swing) {
        UnitTones unit = one_take({moving(8000.0, 0.004, 20.0), moving(16000.0, 0.004, 12.0)});
        for (UnitTone& tone : unit.tones) tone.swing = swing;
        return probability(diagnose(&board.sheet(), unit), "core.burst");
    };
    CHECK(sure(LevelSwing{0.1, 5.0}) > sure(std::nullopt) + 0.05);
    CHECK(sure(LevelSwing{5.0, 5.0}) < sure(std::nullopt) - 0.1);
}
