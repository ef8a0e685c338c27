#include <catch2/catch.hpp>

#include <cmath>
#include <limits>

#include "base/text/number.h"
#include "logbook/spoil.h"
#include "logbook/storage/kept_findings.h"
#include "logbook/storage/kept_floor.h"
#include "report/html/line_pictures.h"
#include "report/html/page.h"
#include "report/html/page_picture.h"
#include "report/text/text.h"
#include "support/names.h"

using namespace tattletone;
using Catch::Matchers::Contains;

namespace {

Result<Findings> read(const std::string& json) {
    auto database = Database::open(":memory:", Database::Mode::create);
    REQUIRE(database);
    auto findings = findings_of(*database, json, {});
    CHECK_FALSE(database->failed());
    return findings;
}

std::string tone_with(const std::string& key, const std::string& value) {
    return R"({"recordings":[{"path":"a.wav","sample_rate_hz":48000,"seconds":10,"usable_band_hz":[100,20000]}],)"
           R"("verdict":"named","tones":[{"id":1,"hz":3000,"hz_sd":0.1,"level_dbfs":-60,"origin":"board",")" +
           key + "\":" + value + "}]}";
}

}  // namespace

TEST_CASE("stored findings that are no object are told, and the logbook can be used further") {
    for (const char* json : {"", "[1, 2", "7", "[]", "null", "\"x\"", "{", "{\"a\":}"}) {
        const auto findings = read(json);
        REQUIRE_FALSE(findings);
        CHECK_THAT(to_sentence(findings.error()), Contains("the stored findings cannot be read"));
    }
    CHECK(read("{}"));
    CHECK(read(R"({"tones":7,"recordings":"x","suspects":{"a":[]},"verdict":null})"));
}

TEST_CASE("stored numbers are brought within what a measurement can give, and the page comes to an end") {
    for (const char* key : {"level_dbfs", "hz", "hz_sd", "tone_to_noise_db", "prominence_db", "present", "start_hz",
                            "end_hz", "id", "faint"})
        for (const char* value :
             {"1e308", "-1e308", "1e-320", "null", "\"text\"", "[]", "99999999999999999999", "-1"}) {
            INFO(key << " " << value);
            const auto findings = read(tone_with(key, value));
            REQUIRE(findings);
            for (const UnitTone& tone : findings->unit.tones) {
                CHECK(std::abs(tone.tone.level_dbfs) <= 1000.0);
                CHECK((tone.tone.hz >= 0.0 && tone.tone.hz <= 1e10));
                CHECK((tone.tone.present >= 0.0 && tone.tone.present <= 1.0));
            }
            CHECK(findings_page(*findings, nullptr, {}, "").size() < 100'000);
            CHECK(findings_text(*findings, {}).size() < 100'000);
        }
}

TEST_CASE("a stored number that no number can hold is told") {
    for (const char* value : {"9e999", "-9e999"}) {
        const auto findings = read(tone_with("level_dbfs", value));
        REQUIRE_FALSE(findings);
        CHECK_THAT(to_sentence(findings.error()),
                   Contains("the stored findings cannot be read: byte ") && Contains("this number is too large"));
    }
}

TEST_CASE("stored findings refer to nothing that is not there") {
    const std::string entries =
        R"([{"recording":-5,"level_dbfs":1},{"recording":2147483647,"level_dbfs":1},{"recording":0,"level_dbfs":-50},7])";
    const auto findings = read(tone_with("heard_in", entries));
    REQUIRE(findings);
    REQUIRE(findings->unit.tones.size() == 1);
    REQUIRE(findings->unit.tones[0].heard_in.size() == 1);
    CHECK(findings->unit.tones[0].heard_in[0].level_dbfs == -50.0);
    const auto explained =
        read(tone_with("explained_by", R"([{"rate":"a.b","order":1},{"rate":"a.b","kind":"image","order":-9e18}])"));
    REQUIRE(explained);
    REQUIRE(explained->explained_by.at(1).size() == 1);
    CHECK(explained->explained_by.at(1)[0].kind == LineKind::image);
    CHECK(read(tone_with("origin", "\"room\""))->unit.tones[0].tone.origin == Origin::room);  // the last of two keys
    CHECK(read(R"({"tones":[{"id":1}]})")->unit.tones[0].tone.origin == Origin::unsure);      // older versions
    const auto moon = read(R"({"tones":[{"id":1,"origin":"moon"}],"verdict":"named"})");
    REQUIRE_FALSE(moon);
    CHECK_THAT(to_sentence(moon.error()),
               Contains("the stored findings cannot be read: tones[0].origin: unknown word 'moon'. Known are 'board', "
                        "'room', 'mains', 'unsure'. Run 'tattletone logbook check'"));
    CHECK_FALSE(read(tone_with("explained_by", R"([{"rate":"a.b","kind":"yodel","order":1}])")));
    CHECK_FALSE(read(R"({"verdict":"Named"})"));
    CHECK_FALSE(read(R"({"verdict":[]})"));
}

TEST_CASE("stored findings without end are cut, and that is told") {
    std::string json = R"({"recordings":[{"path":"a.wav"}],"suspects":[{"rate":"a.b","reasons":[)";
    for (int i = 0; i < 250'000; ++i) json += i == 0 ? "\"r\"" : ",\"r\"";
    const auto findings = read(json + "]}]}");
    REQUIRE(findings);
    REQUIRE(findings->suspects.size() == 1);
    CHECK(findings->suspects[0].reasons.size() == 200'000 - 2);
    REQUIRE(findings->unit.takes[0].found.notices.size() == 1);
    CHECK_THAT(findings->unit.takes[0].found.notices[0],
               Contains("more than 200000 entries, and the rest is not shown"));
}

TEST_CASE("pictures of impossible levels come to an end") {
    const double most = std::numeric_limits<double>::max(), inf = std::numeric_limits<double>::infinity();
    for (const double level : {1e308, -1e308, most, -most, inf, -inf, std::nan(""), 1e17, -60.0}) {
        INFO(level);
        const std::vector<LevelMark> marks = {
            {"a", true, true, -60.0}, {"b", true, true, level}, {"c", false, true, -level}};
        CHECK(history_svg("t", marks).size() < 20'000);
        CHECK(sides_svg("t", "a", "b", marks, marks, true).size() < 20'000);
        CHECK(sides_svg("t", "a", "b", marks, marks, false).size() < 20'000);
        Findings findings = sample::named();
        findings.unit.tones[0].tone.level_dbfs = level;
        findings.unit.takes[0].found.floor = {{100.0, level, level, level}, {1000.0, -90.0, -80.0, -80.0}};
        CHECK(picture_svg(findings, nullptr).size() < 50'000);
        findings.unit.takes[0].found.usable.high_hz = std::abs(level);
        CHECK(picture_svg(findings, nullptr).size() < 50'000);
    }
}

TEST_CASE("the lines of a grid are few and never without end") {
    CHECK(multiples_between(-95.0, -15.0, 20.0) == std::vector<double>{-80.0, -60.0, -40.0, -20.0});
    CHECK(multiples_between(0.0, 1.0, 0.25).size() == 5);
    const double inf = std::numeric_limits<double>::infinity();
    for (const auto& [low, high] :
         {std::pair{-1e308, 1e308}, std::pair{1e308, 1.1e308}, std::pair{0.0, inf}, std::pair{-inf, inf},
          std::pair{std::nan(""), 1.0}, std::pair{1e17, 1e17 + 16.0}, std::pair{0.0, 1e300}, std::pair{5.0, -5.0}})
        CHECK(multiples_between(low, high, 10.0).size() <= 52);
}

TEST_CASE("a stored noise floor rises, whatever its bytes") {
    std::mt19937 chance(20260);
    for (int round = 0; round < 2000; ++round) {
        std::string bytes(chance() % 200, '\0');
        for (char& byte : bytes) byte = static_cast<char>(chance());
        double last = 0.0;
        for (const FloorPoint& point : unpacked_floor(bytes)) {
            REQUIRE(std::isfinite(point.hz));
            REQUIRE(point.hz >= last);
            last = point.hz;
        }
    }
    CHECK(unpacked_floor(std::string(2'000'000, '\0')).size() == 100'000);
}
