#include <catch2/catch.hpp>

#include <cmath>
#include <limits>

#include <nlohmann/json.hpp>

#include "match/json/findings_json.h"
#include "report/sample_findings.h"
#include "support/names.h"

using namespace tattletone;
using Json = nlohmann::ordered_json;

namespace {

std::vector<std::string> keys(const Json& object) {
    std::vector<std::string> names;
    for (const auto& [name, value] : object.items()) names.push_back(name);
    return names;
}

using Keys = std::vector<std::string>;

}  // namespace

// Keys and their order are those of design section 5; the parser is a library that is not ours.
TEST_CASE("the findings have the keys of the format, in its order") {
    const std::string text = findings_json(sample::named());
    CHECK(text.find('\n') == std::string::npos);
    const Json json = Json::parse(text);
    CHECK(keys(json) == Keys{"format", "recordings", "room_recorded", "tones", "suspects", "rivals",
                             "undeclared_probability", "states_left", "verdict", "sound_card", "combs", "undeclared",
                             "pulses", "notices", "outcomes", "next"});
    CHECK(json["format"] == "tattletone findings 1");
    CHECK(keys(json["recordings"][0]) == Keys{"path", "state", "spot", "sample_rate_hz", "seconds", "usable_band_hz",
                                              "notices", "changed", "off", "role"});
    CHECK(keys(json["tones"][1]) == Keys{"id",
                                         "hz",
                                         "hz_sd",
                                         "level_dbfs",
                                         "tone_to_noise_db",
                                         "prominence_db",
                                         "prominent",
                                         "faint",
                                         "comb",
                                         "present",
                                         "start_hz",
                                         "end_hz",
                                         "drift_hz",
                                         "drift_hz_sd",
                                         "bursts_hz",
                                         "bursts_hz_sd",
                                         "origin",
                                         "heard_in",
                                         "room_below_dbfs",
                                         "far_fall_db",
                                         "far_fall_db_sd",
                                         "far_fall_at_least_db",
                                         "level_swing_db",
                                         "level_swing_places",
                                         "explained_by",
                                         "spots"});
    CHECK(keys(json["tones"][1]["heard_in"][0]) == Keys{"recording", "level_dbfs", "tone_to_noise_db"});
    CHECK(keys(json["tones"][1]["heard_in"][1]) == Keys{"recording", "below_dbfs"});
    CHECK(keys(json["tones"][1]["explained_by"][0]) ==
          Keys{"rate", "kind", "order", "other", "expected_hz", "offset_hz", "probability"});
    CHECK(keys(json["suspects"][0]) == Keys{"rate", "probability", "tones", "reasons", "against", "outside_tolerance"});
}

TEST_CASE("the findings have the values, to a sensible digit") {
    const std::string text = findings_json(sample::named());
    const Json json = Json::parse(text);
    const Json& take = json["recordings"][0];
    CHECK(take["state"] == "ranging");
    CHECK(take["spot"].is_null());
    CHECK(take["sample_rate_hz"].is_number_integer());
    CHECK(take["usable_band_hz"] == Json::array({40, 20000}));
    CHECK(take["seconds"] == 9.8);
    CHECK(json["recordings"][1]["notices"].size() == 1);
    CHECK(json["notices"] == Json(sample::named().notices));
    const Json& tone = json["tones"][1];
    CHECK(tone["hz"].get<double>() == Approx(9599.8304).margin(0.00006));
    CHECK(tone["hz_sd"] == 0.0042);
    CHECK(tone["level_dbfs"] == -61.2);
    CHECK(tone["prominent"] == true);
    CHECK(tone["origin"] == "board");
    CHECK(json["tones"][0]["origin"] == "mains");
    CHECK(json["tones"][0]["prominent"].is_null());
    CHECK(json["tones"][3]["prominent"].is_null());
    CHECK(json["tones"][2]["explained_by"][1]["kind"] == "sideband");
    CHECK(json["tones"][2]["explained_by"][1]["order"] == -2);
    CHECK(json["tones"][2]["explained_by"][1]["other"] == "lamp.dimming");
    CHECK(tone["explained_by"][0]["other"].is_null());
    CHECK(tone["explained_by"][0]["expected_hz"].is_number_float());
    CHECK(tone["heard_in"][1]["below_dbfs"] == -84.0);
    CHECK(json["suspects"][0]["tones"] == Json::array({2, 4}));
    CHECK(json["verdict"] == "named");
    CHECK(text.find("9599.8304,") != std::string::npos);
    CHECK(Json::parse(findings_json(sample::quiet()))["verdict"] == "quiet");
    CHECK(Json::parse(findings_json(sample::unknown(true)))["verdict"] == "unknown");
}

TEST_CASE("nothing that a path or a number may hold breaks the JSON") {
    Findings findings = sample::named();
    findings.unit.takes[0].path = "a\xFF\xC3(\"\\\n\x01 \xE2\x82\xAC \xED\xA0\x80";
    findings.unit.tones[1].tone.level_dbfs = -std::numeric_limits<double>::infinity();
    findings.unit.tones[1].tone.hz_sd = std::nan("");
    findings.unit.tones[1].tone.hz = 1e300;
    const Json json = Json::parse(findings_json(findings));
    CHECK(json["recordings"][0]["path"] == "a\uFFFD\uFFFD(\"\\\n\x01 \u20AC \uFFFD\uFFFD\uFFFD");
    CHECK(json["tones"][1]["level_dbfs"].is_null());
    CHECK(json["tones"][1]["hz_sd"].is_null());
    CHECK(json["tones"][1]["hz"] == 1e300);
}
