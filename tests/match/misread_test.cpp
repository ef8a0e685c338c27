// Referee of MODEL.md 25: a header that says another sample rate than the samples have.

#include <catch2/catch.hpp>

#include "cases.h"
#include "match/diagnose.h"
#include "match/misread.h"

using namespace tattletone;
using namespace tattletone::cases;
using Catch::Matchers::Contains;

namespace {

const auto two_clocks = Board().rate("lamp.dimming", 976.5625, 50).rate("ranger.frame", 3200, 50).sheet();

/// Hum of a grid at 50.01 Hz and lines of both clocks, as read under the header of `cases::take`, which says 48 kHz.
std::vector<Tone> heard(double held_hz, bool hum, bool clocks) {
    const double factor = 48000.0 / held_hz;
    std::vector<Tone> tones;
    if (hum)
        for (const int k : {1, 2, 3, 4, 6, 10})
            tones.push_back(tone(50.01 * k * factor, 25.0 - k, Origin::board, 0.002));
    if (clocks)
        for (const int n : {1, 2, 3, 5}) {
            tones.push_back(tone(976.57 * n * factor, 20.0 - n));
            tones.push_back(tone(3200.04 * n * factor, 22.0 - n));
        }
    return tones;
}

std::string notices(const Findings& findings) {
    std::string text;
    for (const std::string& notice : findings.notices) text += notice + '\n';
    return text;
}

}  // namespace

TEST_CASE("everything off by the header's rate over the samples': a notice that asks for a check") {
    for (const double held_hz : {44100.0, 32000.0, 16000.0}) {
        INFO(held_hz << " Hz held");
        const Findings found = diagnose(&two_clocks, one_take(heard(held_hz, true, true)));
        const std::string told = notices(found);
        CHECK_THAT(told, Contains("Its header says 48 kHz, and what is heard fits better if it holds " +
                                  std::string(held_hz == 44100.0   ? "44.1"
                                              : held_hz == 32000.0 ? "32"
                                                                   : "16") +
                                  " kHz"));
        // Three times the mains' multiples are multiples of the mains too: there the clocks alone tell.
        if (held_hz == 16000.0)
            CHECK_THAT(told, Contains("lamp.dimming"));
        else
            CHECK_THAT(
                told, Contains("the hum is the mains' at 50.01 Hz, and lamp.dimming and ranger.frame are as declared"));
        CHECK_THAT(told, Contains("Check how the recording was saved"));
        for (const Suspect& suspect : found.suspects) {
            CHECK(suspect.probability < 0.9);
            CHECK(reasons(found, suspect.rate).find("is the setting taking effect") == std::string::npos);
        }
        for (const UnitTone& tone : found.unit.tones)
            if (tone.tone.hz < 100.0) CHECK(tone.tone.origin != Origin::board);
    }
}

TEST_CASE("the clocks alone tell it, the hum alone does not") {
    // A family of something else at 54.4 Hz is as likely as a wrong header.
    CHECK(notices(diagnose(&two_clocks, one_take(heard(44100.0, true, false)))) == "");
    CHECK_THAT(notices(diagnose(&two_clocks, one_take(heard(44100.0, false, true)))), Contains("holds 44.1 kHz"));
}

TEST_CASE("a right header gets no notice") {
    for (const bool hum : {false, true})
        for (const bool clocks : {false, true}) {
            INFO(hum << clocks);
            CHECK(notices(diagnose(&two_clocks, one_take(heard(48000.0, hum, clocks)))) == "");
            CHECK(notices(diagnose(nullptr, one_take(heard(48000.0, hum, clocks)))) == "");
        }
    // One clock off where the hum says that the header is right: its setting.
    std::vector<Tone> one = heard(48000.0, true, false);
    for (const int n : {1, 2, 3, 5}) one.push_back(tone(3200.04 * n * 48.0 / 44.1, 22.0 - n));
    CHECK(notices(diagnose(&two_clocks, one_take(one))).find("header") == std::string::npos);
    // What has nothing to do with the sheet.
    CHECK(notices(diagnose(&two_clocks, one_take({tone(1234.0), tone(2468.0), tone(3702.0), tone(7777.0)}))) == "");
}

TEST_CASE("takes whose headers differ are not judged together") {
    Take other = take(heard(44100.0, true, true));
    other.found.sample_rate_hz = 44100.0;
    CHECK(notices(diagnose(&two_clocks, unite({take(heard(44100.0, true, true)), other}, nullptr))).find("header") ==
          std::string::npos);
}

TEST_CASE("which rate a recording holds by how far a clock is off") {
    CHECK(match::held_if_off_by(48000.0, 48.0 / 44.1 - 1.0, 1e-4) == "44.1 kHz");
    CHECK(match::held_if_off_by(44100.0, 44.1 / 48.0 - 1.0, 1e-4) == "48 kHz");
    CHECK(match::held_if_off_by(48000.0, 44.1 / 48.0 - 1.0, 1e-4) == "");
    CHECK(match::held_if_off_by(48000.0, 0.002, 1e-4) == "");
    CHECK(match::held_if_off_by(48000.0, 1.0, 1e-4) == "24 kHz");
}
