#include <catch2/catch.hpp>

#include "report/sample_findings.h"
#include "report/words.h"
#include "support/names.h"

using namespace tattletone;
using Catch::Matchers::StartsWith;

TEST_CASE("where a lamp is heard best, the answer says so before it tells of a tone beside it") {
    Findings findings = sample::unknown(true);
    findings.unit.tones = {sample::tone(1, 3141.59, 0.003), sample::tone(2, 2000.0, 0.003)};
    for (UnitTone& tone : findings.unit.tones) {
        tone.tone.level_dbfs = -60.0;
        tone.heard_in.resize(1);
    }
    findings.unit.tones[1].tone.origin = tones::Origin::mains;
    findings.rivals = {{RivalKind::mains, 0.9, 50.0, 0.001, 2000.0, 2000.0, {2}, "", "multiples of the mains: a lamp"}};
    CHECK_THAT(answer_sentence(findings), StartsWith("One tone was found, at 3141.59 Hz"));
    findings.unit.tones[0].tone.tone_to_noise_db = findings.unit.tones[1].tone.tone_to_noise_db - 10.0;
    CHECK_THAT(
        answer_sentence(findings),
        StartsWith("Heard best: multiples of the mains: a lamp. Beside that, one tone was found, at 3141.59 Hz"));
    findings.rivals[0].probability = 0.4;
    CHECK_THAT(answer_sentence(findings), StartsWith("One tone was found, at 3141.59 Hz"));
}

TEST_CASE("hum alone is told as the mains'") {
    Findings findings = sample::unknown(true);
    findings.verdict = Verdict::quiet;
    findings.suspects.clear();
    findings.unit.tones = {sample::tone(1, 100.0, 0.003), sample::tone(2, 150.0, 0.003)};
    for (UnitTone& tone : findings.unit.tones) tone.tone.origin = tones::Origin::mains;
    CHECK(answer_sentence(findings) == "No tone of the board was found; 2 tones are of the mains.");
    findings.unit.tones[1].tone.origin = tones::Origin::unsure;
    CHECK(answer_sentence(findings) == "No tone of the board was found; 2 tones are from elsewhere or unsure.");
}

TEST_CASE("two rates that one tone fits alike are told as one or the other") {
    Findings findings = sample::named();
    findings.suspects.resize(1);
    findings.suspects.push_back(findings.suspects[0]);
    findings.suspects[0].rate = "a.f";
    findings.suspects[1].rate = "b.f";
    for (Suspect& suspect : findings.suspects) suspect.probability = 0.52;
    CHECK(answer_sentence(findings) ==
          "a.f or b.f is singing, which of them these recordings cannot tell (0.52 each).");
    for (Suspect& suspect : findings.suspects) suspect.probability = 0.97;
    CHECK_THAT(answer_sentence(findings), StartsWith("Two rates are singing: a.f"));
}
