#include <catch2/catch.hpp>

#include <cmath>
#include <random>

#include "match/json/findings_json.h"
#include "match/json/findings_of_json.h"
#include "match/words.h"
#include "report/sample_findings.h"
#include "support/names.h"

using namespace tattletone;
using Catch::Matchers::Contains;

namespace {

std::string again(const std::string& json) {
    const auto findings = findings_of_json(json);
    REQUIRE(findings);
    return findings_json(*findings);
}

/// Findings drawn by chance: every field that the JSON holds, uncertainties over eight decades.
class Draw {
  public:
    explicit Draw(std::uint32_t seed) : chance_(seed) {}
    Findings findings() {
        Findings drawn;
        for (int i = 0; i < 3; ++i) {
            Take take = sample::take(text(), i == 0 ? "" : text());
            take.spot = coin() ? text() : "";
            take.found.sample_rate_hz = coin() ? 44100.0 : real(8e3, 2e5);
            take.found.seconds = real(0.0, 100.0);
            take.found.usable = {real(20.0, 100.0), real(1e3, 2e4)};
            take.found.notices = texts();
            drawn.unit.room_given |= coin();
            if (coin()) take.changes = {{text(), real(1.0, 1e5)}, {text(), 0.0}};
            drawn.unit.takes.push_back(take);
            if (coin()) {
                take.changes.clear();
                drawn.unit.far.push_back(take);
            }
        }
        for (int id = 1; id <= 4; ++id) tone(drawn, id);
        for (int i = 0; i < 2; ++i)
            drawn.suspects.push_back({text(), "", real(0.0, 1.0), {below(9), below(9)}, texts(), coin()});
        for (int i = below(3); i > 0; --i)
            drawn.undeclared.push_back({real(0.0, 1.0),
                                        real(20.0, 5e3),
                                        sd(),
                                        below(3),
                                        below(200),
                                        real(20.0, 1e3),
                                        real(1e3, 2e4),
                                        real(-30.0, 30.0),
                                        real(0.0, 200.0),
                                        {below(9), below(9)}});
        drawn.verdict = any(verdict_words);
        if (coin()) {
            drawn.card_error_ppm = real(-200.0, 200.0);
            drawn.card_error_ppm_sd = real(0.0, 50.0);
            drawn.card_error_from = {text()};
        }
        drawn.outcomes = texts();
        drawn.notices = texts();
        for (int i = 0; i < 2; ++i) drawn.next.push_back(experiment());
        return drawn;
    }

  private:
    int below(int count) { return static_cast<int>(chance_() % static_cast<unsigned>(count)); }
    template <class Row, std::size_t count>
    decltype(Row::value) any(const std::array<Row, count>& table) {
        return table[static_cast<std::size_t>(below(static_cast<int>(count)))].value;
    }
    bool coin() { return below(2) == 0; }
    double real(double low, double high) {
        return low + (high - low) * (static_cast<double>(chance_()) / 4294967296.0);
    }
    std::string text() {
        static const std::vector<std::string> words = {"a.b",           "\"quoted\\", "µs – ½",
                                                       "line\nbreak\t", "\x1b[2J",    "x\xFFy"};
        return words[static_cast<std::size_t>(below(static_cast<int>(words.size())))] + std::to_string(below(100));
    }
    std::vector<std::string> texts() { return coin() ? std::vector<std::string>{} : std::vector{text(), text()}; }
    // One in four stands where rounding takes a digit away: just under a power of ten or under twice one.
    double sd() {
        const double power = std::pow(10.0, real(-7.0, 1.0));
        const double edge = std::pow(10.0, below(8) - 6);
        return below(4) != 0 ? power : edge * (coin() ? 0.1949999 : 0.0999999);
    }
    void tone(Findings& drawn, int id) {
        UnitTone unit = sample::tone(id, real(20.0, 2e4), sd(), any(origin_words));
        Tone& line = unit.tone;
        line.level_dbfs = real(-120.0, 0.0);
        line.prominent = below(3) == 0 ? std::nullopt : std::optional(coin());
        line.faint = coin();
        line.present = real(0.0, 1.0);
        line.start_hz = line.hz + real(-1.0, 1.0);
        line.end_hz = line.hz + real(-1.0, 1.0);
        if (coin()) {
            line.drift_hz = real(-1.0, 1.0);
            line.drift_hz_sd = sd();
        }
        if (coin()) {
            line.bursts_hz = real(2.5, 45.0);
            line.bursts_hz_sd = sd();
        }
        if (coin()) unit.room_below_dbfs = real(-120.0, 0.0);
        if (coin())
            unit.far_fall =
                coin() ? FarFall{true, real(-20.0, 60.0), real(0.0, 5.0), 1} : FarFall{false, real(0.0, 60.0), 0.0, 1};
        for (int i = below(3); i > 0; --i)
            drawn.explained_by[id].push_back({text(), any(line_kinds), below(9) - 4, coin() ? text() : "",
                                              real(20.0, 2e4), real(-5.0, 5.0), real(0.0, 1.0)});
        if (coin())
            drawn.spots[id] = {
                {{text(), true, real(-90.0, 0.0), real(0.0, 6.0), 0.0}, {text(), false, 0.0, 0.0, -80.0}},
                real(0.0, 30.0),
                real(0.0, 9.0),
                coin()};
        drawn.unit.tones.push_back(unit);
    }
    Experiment experiment() {
        Experiment drawn;
        drawn.kind = any(trial_words);
        drawn.what = coin() ? text() : "";
        drawn.hz = coin() ? real(1.0, 1e5) : 0.0;
        drawn.todo = text();
        drawn.caution = coin() ? text() : "";
        drawn.option = coin() ? text() : "";
        drawn.minutes = 0.5 * (1 + below(40));
        drawn.bits = real(0.0, 3.0);
        drawn.sure_now = real(0.0, 1.0);
        drawn.sure_after = real(0.0, 1.0);
        for (int i = below(3); i > 0; --i)
            drawn.predictions.push_back({coin() ? text() : "", real(0.0, 1.0), below(5), real(20.0, 2e4),
                                         any(effect_words), real(20.0, 2e4), real(0.0, 1.0)});
        return drawn;
    }

    std::mt19937 chance_;
};

}  // namespace

TEST_CASE("findings written, read and written again are the same to the byte") {
    for (const Findings& findings :
         {sample::named(), sample::quiet(), sample::unknown(true), sample::unknown(false), Findings{}}) {
        const std::string json = findings_json(findings);
        CHECK(again(json) == json);
    }
    for (std::uint32_t seed = 1; seed <= 3000; ++seed) {
        const std::string json = findings_json(Draw(seed).findings());
        INFO(seed);
        REQUIRE(again(json) == json);
    }
}

TEST_CASE("what stands behind the findings' own keys is passed over") {
    const std::string json = findings_json(sample::named(), {{"trace", R"({"tones": [{"origin": "moon"}]})"}});
    CHECK(json.ends_with(R"(, "trace": {"tones": [{"origin": "moon"}]}})"));
    CHECK(again(json) == findings_json(sample::named()));
}

TEST_CASE("a stored word that no enum has is an error that names it and leads to it") {
    const struct {
        const char *json, *where, *word, *known;
    } cases[] = {
        {R"({"tones":[{"origin":"board"},{"origin":"moon"}]})", "tones[1].origin", "'moon'", "'mains', 'unsure'"},
        {R"({"tones":[{"explained_by":[{"kind":"yodel"}]}]})", "tones[0].explained_by[0].kind", "'yodel'", "'beat'"},
        {R"({"verdict":"Named"})", "verdict", "'Named'", "'named', 'unknown', 'quiet'"},
        {R"({"next":[{"trial":""}]})", "next[0].trial", "''", "'part off'"},
        {R"({"next":[{"trial":"room","predictions":[{"fate":"sinks"}]}]})", "next[0].predictions[0].fate", "'sinks'",
         "'appears'"},
    };
    for (const auto& wrong : cases) {
        INFO(wrong.json);
        const auto findings = findings_of_json(wrong.json);
        REQUIRE_FALSE(findings);
        CHECK(findings.error().where == wrong.where);
        CHECK_THAT(findings.error().what, Contains("unknown word " + std::string(wrong.word)));
        CHECK_THAT(findings.error().todo, Contains(wrong.known));
    }
    CHECK_FALSE(findings_of_json(R"({"verdict":7})"));
    CHECK(findings_of_json(R"({"verdict":null,"tones":[{"id":1}]})"));  // older versions
}

TEST_CASE("a text that is too deep or too long is refused before it is taken apart") {
    const auto deep = [](int levels) { return R"({"x":)" + std::string(levels, '[') + std::string(levels, ']') + "}"; };
    CHECK(findings_of_json(deep(31)));
    CHECK_FALSE(findings_of_json(deep(32)));
    CHECK_THAT(to_sentence(findings_of_json(std::string(30'000'000, '[')).error()),
               Contains("more than 32 levels. Findings have fewer."));
    std::string many = R"({"x":[0)";
    for (int i = 0; i < 3'000'000; ++i) many += ",0";
    CHECK_THAT(to_sentence(findings_of_json(many + "]}").error()), Contains("more than 3000000 values"));
    CHECK(findings_of_json(R"({"x":")" + std::string(100, '[') + R"(\"[[,"})"));
}

TEST_CASE("what is no findings is refused in our words, with the place") {
    const struct {
        const char *json, *says;
    } cases[] = {
        {"", "byte 1: this is no JSON. Findings are one object."},
        {R"({"tones": nan})", "byte 12: this is no JSON"},
        {R"({"tones": []} x)", "byte 15: this is no JSON"},
        {"{\"verdict\": \"\xFF\"}", "byte 14: this is no JSON"},
        {R"({"a": -9e999})", "byte 12: this number is too large. Findings have none beyond 1e308."},
        {"[]", "this is no object. Findings begin with { and end with }."},
    };
    for (const auto& wrong : cases) {
        INFO(wrong.json);
        const auto findings = findings_of_json(wrong.json);
        REQUIRE_FALSE(findings);
        CHECK_THAT(to_sentence(findings.error()), Contains(wrong.says));
    }
}
