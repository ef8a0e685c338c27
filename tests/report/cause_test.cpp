// What a rail and the lines say about why something sings, and who hears it. Outside values: the algebra of a square
// law with bias, ISO 7029:2017 and ISO 389-7:2019 as in tests/tones/hearing_test.cpp.
#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include <cmath>

#include "board/rate_supply.h"
#include "board/sheet/sheet_reader.h"
#include "cause/mechanism.h"
#include "match/explain/supply_reason.h"
#include "report/headroom.h"
#include "report/hearing.h"
#include "report/mechanism_words.h"
#include "report/sample_findings.h"
#include "support/names.h"

using namespace tattletone;
using Catch::Matchers::Contains;
using Json = nlohmann::json;

namespace {

BoardSheet sheet_of(const std::string& rail, const std::string& part) {
    const SheetReading reading = parse_sheet("[board]\nname = \"Heron\"\n[[rail]]\nid = \"3V0\"\n" + rail +
                                                 "[[part]]\nid = \"ranger\"\nrail = \"3V0\"\n" + part,
                                             "heron.toml");
    for (const SheetError& error : reading.errors) FAIL_CHECK(error.what);
    REQUIRE(reading.sheet);
    return *reading.sheet;
}

const std::string frame = "[[part.rate]]\nid = \"frame\"\nhz = 9600\nburst_us = 20\n";

Findings heard(std::vector<std::pair<LineKind, double>> lines, double f_hz) {
    Findings findings;
    findings.board = "Heron";
    findings.unit.takes = {sample::take("take.flac", "")};
    findings.suspects = {{"ranger.frame", "ranger", 0.98, {}, {}}};
    findings.verdict = Verdict::named;
    int id = 0;
    for (const auto& [kind, multiple] : lines) {
        findings.unit.tones.push_back(sample::tone(++id, multiple * f_hz, 0.004));
        findings.unit.tones.back().heard_in.pop_back();
        findings.suspects[0].tones.push_back(id);
        findings.explained_by[id] = {{"ranger.frame", kind,
                                      static_cast<int>(kind == LineKind::subharmonic ? 2.0 * multiple : multiple), "",
                                      multiple * f_hz, 0.0, 0.98}};
    }
    return findings;
}

}  // namespace

TEST_CASE("the second line of a square law with bias stands v / 4 V_0 below the first") {
    CHECK(square_law_second_db(3.3, 0.05) == Approx(-48.43).margin(0.005));
    CHECK(square_law_second_db(12.0, 0.1) == Approx(-53.62).margin(0.005));
    CHECK(square_law_second_db(1.0, 0.5) == Approx(-18.06).margin(0.005));
    // The law itself, from its Fourier sums over one period.
    double first = 0.0, second = 0.0;
    for (int i = 0; i < 1000; ++i) {
        const double x = 2.0 * M_PI * i / 1000.0, force = std::pow(1.0 + 0.5 * std::sin(x), 2.0);
        first += force * std::sin(x);
        second += force * std::cos(2.0 * x);
    }
    CHECK(square_law_second_db(1.0, 0.5) == Approx(20.0 * std::log10(std::abs(second / first))).margin(1e-6));
}

TEST_CASE("a suspect on a starved rail says what its bursts do to it") {
    const auto sheet = sheet_of(
        "regulator = \"linear\"\nv_in = 5.7\nv_out = 3.0\nmax_current_ma = 300\nmax_dissipation_mw = "
        "400\nambient_c = 35\n",
        "typical_ma = 60\npeak_ma = 145\n" + frame);
    // 400 mW · 90/100 / 2.7 V = 133 mA
    const auto supply = supply_of_rate(sheet, 0, {});
    REQUIRE(supply);
    CHECK(supply->good_for_ma == Approx(133.333).margin(0.001));
    CHECK(supply->strain == RateSupply::Strain::alone);
    const std::string reason = supply_reason(sheet, 0, {});
    CHECK_THAT(reason,
               Contains("is good for 133 mA at 35 °C (by heat) and is asked for 145 mA for 20 µs at each frame"));
    CHECK_THAT(reason, Contains("at each frame: it is likely to dip ("));
    CHECK_THAT(reason, Contains("heat counts by its average: look at it with an oscilloscope"));
    // 145 mA · 20 µs / C: millivolts below a tenth of a volt.
    BoardSheet held = sheet;
    held.rails[0].output_capacitance_uf = 47.0;
    CHECK_THAT(supply_reason(held, 0, {}), Contains("likely to dip, by up to 62 mV"));
    held.rails[0].output_capacitance_uf = 4.7;
    CHECK_THAT(supply_reason(held, 0, {}), Contains("likely to dip, by up to 0.62 V"));

    BoardSheet enough = sheet;
    enough.rails[0].v_in = 4.0;
    CHECK(supply_reason(enough, 0, {}).empty());
    BoardSheet always = sheet;
    always.parts[0].typical_ma = 140.0;
    CHECK_THAT(supply_reason(always, 0, {}), Contains("draw 140 mA on average and it is good for 133 mA"));
}

TEST_CASE("a line at the rate on a linear rail speaks for a capacitor and against a coil") {
    const auto sheet = sheet_of("regulator = \"linear\"\nv_in = 5\nv_out = 3\n", frame);
    const Findings findings = heard({{LineKind::harmonic, 1.0}, {LineKind::harmonic, 2.0}}, 9600.0);
    const Cause cause = cause_of(findings, sheet, findings.suspects[0]);
    REQUIRE(cause.mechanisms.size() == 2);
    CHECK(cause.mechanisms[0].id == "capacitor");
    CHECK(cause.mechanisms[0].likelihood == "likely");
    CHECK(cause.mechanisms[1].likelihood == "unlikely");
    const auto moved = std::find_if(cause.cures.begin(), cause.cures.end(), [](const Cure& cure) {
        return cure.what.find("out of the audible") != std::string::npos;
    });
    REQUIRE(moved != cause.cures.end());
    CHECK_THAT(moved->what, Contains("3 times as fast is 28.8 kHz"));
    const std::string text = cause_text(findings, sheet, 80, false);
    CHECK_THAT(text, Contains("a ceramic capacitor on 3V0, likely"));
    CHECK(std::count(text.begin(), text.end(), '\n') <= 7);
    CHECK_THAT(page_cause(findings, &sheet), Contains("speaks against it"));
    const Json json = Json::parse(causes_json(findings, sheet));
    CHECK(json[0]["mechanisms"][0]["observations"][0]["speaks"] == "for");
}

TEST_CASE("a line at 2f without one at f speaks for a coil's core") {
    const auto sheet =
        sheet_of("regulator = \"buck\"\nv_in = 5\nv_out = 3\n", "[[part.rate]]\nid = \"frame\"\nhz = 3000\n");
    const Findings findings = heard({{LineKind::harmonic, 2.0}}, 3000.0);
    const Cause cause = cause_of(findings, sheet, findings.suspects[0]);
    CHECK(cause.mechanisms[0].id == "coil");
    CHECK(cause.mechanisms[0].likelihood == "likely");
    // The same where the line at f would have drowned: nothing follows.
    Findings loud = findings;
    for (FloorPoint& point : loud.unit.takes[0].found.floor) point.steady_above_dbfs = -20.0;
    CHECK(cause_of(loud, sheet, loud.suspects[0]).mechanisms[0].likelihood != "likely");
}

TEST_CASE("a moving tone speaks for a converter at light load, also where the match calls it a half") {
    const auto sheet = sheet_of("regulator = \"buck\"\nv_in = 3.3\nv_out = 1.2\n",
                                "[[part.rate]]\nid = \"frame\"\nhz_min = 2500\nhz_max = 30000\n");
    Findings findings =
        heard({{LineKind::subharmonic, 0.5}, {LineKind::harmonic, 1.0}, {LineKind::harmonic, 2.0}}, 6000.0);
    for (UnitTone& tone : findings.unit.tones) {
        tone.tone.steady = false;
        tone.tone.start_hz = 1.04 * tone.tone.hz;
        tone.tone.end_hz = 0.97 * tone.tone.hz;
    }
    const Cause cause = cause_of(findings, sheet, findings.suspects[0]);
    REQUIRE(cause.mechanisms.size() == 3);
    CHECK(cause.mechanisms[0].id == "light-load");
    CHECK(cause.mechanisms[0].likelihood == "likely");
    CHECK_THAT(cause.cures[0].what, Contains("minimum load"));
    for (const Mechanism& mechanism : cause.mechanisms)
        for (const Observation& observation : mechanism.observations)
            CHECK(observation.text.find("none at f") == std::string::npos);
    for (UnitTone& tone : findings.unit.tones) tone.tone.steady = true;
    CHECK(cause_of(findings, sheet, findings.suspects[0]).mechanisms[0].id != "light-load");
}

TEST_CASE("nothing is reasoned about what was not heard") {
    const auto sheet = sheet_of("", frame);
    CHECK(cause_text(sample::quiet(), sheet, 80, false).empty());
    CHECK(page_cause(sample::quiet(), &sheet).empty());
    CHECK(page_cause(sample::named(), nullptr).empty());
    CHECK(Json::parse(causes_json(sample::quiet(), sheet)).empty());
    CHECK(hearing_sentences(sample::quiet(), {}).empty());
}

TEST_CASE("who hears a tone: the difference of ages, and beyond the tables only words") {
    Findings findings = sample::unknown(true);
    findings.unit.tones[0].tone.hz = 4000.0;
    // ISO 7029:2017 at 4 kHz, 55 against 22: men 15.1 - 0.1, women 10.9 - 0.0.
    const auto line = hearing_sentences(findings, {});
    REQUIRE(line.size() == 1);
    CHECK_THAT(line[0], Contains("11 (women) to 15 (men) dB more than one of 22"));
    HearingOptions one;
    one.listeners = {{60.0, Sex::male}};
    one.asked = true;
    const auto more = hearing_sentences(findings, one);
    CHECK_THAT(more[0], Contains("a median man of 60 needs about 20 dB more than one of 18"));
    CHECK_THAT(more.back(), Contains("no hearing test"));
    findings.unit.tones[0].tone.hz = 12000.0;
    CHECK_THAT(hearing_sentences(findings, {})[0], Contains("no table of ISO 7029:2017 holds"));
    one.listeners[0].age = 75.0;
    findings.unit.tones[0].tone.hz = 4000.0;
    CHECK_THAT(hearing_sentences(findings, one)[0], Contains("there is no table: it goes from 18 to 70 years"));
}

TEST_CASE("a calibrated level is compared with thresholds") {
    Findings findings = sample::unknown(true);
    findings.unit.tones[0].tone.hz = 8000.0;
    findings.unit.tones[0].tone.level_dbfs = -95.0;
    HearingOptions chosen;
    chosen.asked = true;
    chosen.spl_at_0_dbfs = 120.0;
    chosen.calibrated_by = "94 dB SPL shows -26.0 dBFS";
    chosen.listeners = {{50.0, Sex::male}, {50.0, Sex::female}};
    const auto sentences = hearing_sentences(findings, chosen);
    // A lone 25 dB SPL tone at 8 kHz: the median man of 50 (28.7 dB SPL) does not hear it, the median woman (24.5) just
    // does.
    REQUIRE(sentences.size() > 3);
    CHECK_THAT(sentences[1], Contains("25 dB SPL where the microphone was, 12 dB over"));
    CHECK_THAT(sentences[2], Contains("median threshold 29 dB SPL") && Contains("fewer than half of them hear it"));
    CHECK_THAT(sentences[3], Contains("median threshold 24 dB SPL") && Contains("half of them or more hear it"));
    const Json json = Json::parse(hearing_json(findings, chosen));
    CHECK(json["tones"][0]["level_db_spl"] == 25.0);
    CHECK(json["tones"][0]["listeners"][0]["more_than_at_18_db"].get<double>() == Approx(16.1).margin(0.051));
}

TEST_CASE("headroom is worked out so that a reader can check it") {
    const auto sheet = sheet_of(
        "regulator = \"linear\"\nv_in = 5.7\nv_out = 3.0\nmax_current_ma = 300\nmax_dissipation_mw = "
        "400\nambient_c = 35\noutput_capacitance_uf = 10\n",
        "typical_ma = 60\npeak_ma = 145\n" + frame);
    const std::string text = headroom_text(sheet, {});
    CHECK(text.starts_with("3V0 is starved: good for 133 mA (by heat at 35 °C)"));
    CHECK_THAT(text, Contains("360 mW / (5.7 V - 3 V) = 133 mA"));
    CHECK_THAT(text, Contains("145 mA · 20 µs / 10 µF = 0.29 V"));
    CHECK_THAT(text, Contains("a rating of 181 mA or more"));
    HeadroomStyle tried;
    tried.rail = 0;
    tried.tried = {{"v_in", "4"}};
    tried.declared = &sheet;
    BoardSheet lower = sheet;
    lower.rails[0].v_in = 4.0;
    CHECK_THAT(headroom_text(lower, tried), Contains("With v_in = 4, it would do: 3V0 is fine: good for 300 mA") &&
                                                Contains("As the sheet has it: starved"));
    const Json json = Json::parse(headroom_json(sheet, {}));
    CHECK(json["format"] == "tattletone headroom 1");
    CHECK(json["rails"][0]["limits"]["limited_by"] == "heat");
    CHECK(json["rails"][0]["verdict"] == "starved");
    CHECK_THAT(headroom_text(BoardSheet{}, {}), Contains("declares no rail yet"));
}
