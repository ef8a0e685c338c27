#include <algorithm>
#include <catch2/catch.hpp>
#include <fstream>

#include "board/sheet/sheet_reader.h"
#include "cause/mechanism.h"
#include "report/mechanism_words.h"
#include "support/names.h"
#include "window/drawing/ladder_layout.h"

using namespace tattletone;

namespace {

BoardSheet limpet() {
    const SheetReading reading = read_sheet(TATTLETONE_SOURCE_DIR "/samples/limpet.toml");
    REQUIRE(reading.errors.empty());
    return *reading.sheet;
}

/// One take, quiet enough to see every steady line above -110 dBFS between 50 Hz and 15 kHz.
Findings quiet_take(const std::string& state) {
    Findings findings;
    Take take;
    take.state = state;
    take.found.sample_rate_hz = 48000.0;
    take.found.seconds = 10.0;
    take.found.usable = {50.0, 15000.0};
    for (const double hz : {50.0, 15000.0}) {
        FloorPoint point;
        point.hz = hz;
        point.noise_dbfs_per_hz = -120.0;
        point.steady_above_dbfs = -110.0;
        point.wandering_above_dbfs = -95.0;
        take.found.floor.push_back(point);
    }
    findings.unit.takes.push_back(take);
    return findings;
}

void add_tone(Findings& findings, int id, double hz, double dbfs, const std::string& rate, int order,
              double probability) {
    UnitTone tone;
    tone.id = id;
    tone.tone.hz = hz;
    tone.tone.level_dbfs = dbfs;
    findings.unit.tones.push_back(tone);
    Explanation explanation;
    explanation.rate = rate;
    explanation.order = order;
    explanation.probability = probability;
    if (!rate.empty()) findings.explained_by[id].push_back(explanation);
}

const Ladder& named(const std::vector<Ladder>& ladders, const std::string& name) {
    const auto found =
        std::find_if(ladders.begin(), ladders.end(), [&](const Ladder& ladder) { return ladder.name == name; });
    REQUIRE(found != ladders.end());
    return *found;
}

const Rung& harmonic(const Ladder& ladder, int order) {
    const auto found = std::find_if(ladder.rungs.begin(), ladder.rungs.end(), [&](const Rung& rung) {
        return rung.kind == LineKind::harmonic && rung.order == order && rung.state != RungState::range;
    });
    REQUIRE(found != ladder.rungs.end());
    return *found;
}

}  // namespace

TEST_CASE("a rung stands at every multiple of a rate, as wide as its tolerance") {
    const auto ladders = ladders_of(limpet(), nullptr);
    REQUIRE(ladders.size() == limpet().rates.size());
    const Ladder& frame = named(ladders, "sounder.frame");
    for (int order = 1; order <= 7; ++order) {
        const Rung& rung = harmonic(frame, order);
        CHECK(rung.hz == Approx(3200.0 * order));
        CHECK(rung.low_hz == Approx(3200.0 * order * (1 - 30e-6)).epsilon(1e-9));
        CHECK(rung.high_hz == Approx(3200.0 * order * (1 + 30e-6)).epsilon(1e-9));
    }
    CHECK(std::is_sorted(frame.rungs.begin(), frame.rungs.end(),
                         [](const Rung& a, const Rung& b) { return a.hz < b.hz; }));
    const Ladder& burst = named(ladders, "core-regulator.burst");
    CHECK(std::any_of(burst.rungs.begin(), burst.rungs.end(),
                      [](const Rung& rung) { return rung.state == RungState::range; }));
}

TEST_CASE("rungs light where a tone is, and look different where one is missing") {
    Findings findings = quiet_take("sounding");
    add_tone(findings, 1, 3200.05, -60.0, "sounder.frame", 1, 0.98);
    add_tone(findings, 2, 6400.10, -60.0, "sounder.frame", 2, 0.98);
    findings.suspects.push_back({"sounder.frame", "Echo sounder", 0.99, {1, 2}, {"because"}});
    const auto ladders = ladders_of(limpet(), &findings);
    const Ladder& frame = ladders.front();
    CHECK(frame.name == "sounder.frame");
    CHECK(frame.reason == "because");
    CHECK(frame.cause == mechanism_sentence(findings, limpet(), findings.suspects[0]));
    CHECK(frame.cause.find("3V3") != std::string::npos);  // the sounder's rail
    CHECK(named(ladders, "screen.row").cause.empty());
    CHECK(harmonic(frame, 1).state == RungState::lit);
    CHECK(harmonic(frame, 1).tone == 1);
    CHECK(harmonic(frame, 2).state == RungState::lit);
    CHECK(harmonic(frame, 3).state == RungState::missing);  // -60 dBFS lines, and -110 would be seen
    CHECK(harmonic(frame, 5).state == RungState::outside);  // 16 kHz, above the usable band
    CHECK_FALSE(named(ladders, "screen.row").may_run);      // active when reading only
}

TEST_CASE("a tone that something else explains is not lit in a neighbour's ladder") {
    Findings findings = quiet_take("reading");
    add_tone(findings, 1, 4320.0, -70.0, "", 1, 0.0);
    const auto ladders = ladders_of(limpet(), &findings);
    CHECK(harmonic(named(ladders, "screen.row"), 1).state == RungState::taken);
    CHECK(harmonic(named(ladders, "screen.row"), 2).state == RungState::missing);
}

TEST_CASE("the likeliest stands on top, and small differences do not make ladders dance") {
    const BoardSheet sheet = limpet();
    Findings findings = quiet_take("");
    const std::string last = sheet.rates.back().full_name, first = sheet.rates.front().full_name;
    findings.suspects = {{last, "", 0.93, {}, {"a"}}, {first, "", 0.12, {}, {"b"}}};
    auto ladders = ladders_of(sheet, &findings);
    CHECK(ladders[0].name == last);
    CHECK(ladders[1].name == first);
    for (std::size_t i = 1; i < ladders.size(); ++i) CHECK(ladders[i - 1].probability >= ladders[i].probability - 0.02);
    findings.suspects = {{last, "", 0.501, {}, {"a"}}, {first, "", 0.499, {}, {"b"}}};
    ladders = ladders_of(sheet, &findings);
    CHECK(ladders[0].name == first);  // the sheet's order
}
