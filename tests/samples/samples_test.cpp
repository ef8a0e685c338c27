#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <string>
#include <vector>

#include "board/sheet/sheet_reader.h"
#include "match/diagnose.h"
#include "match/json/findings_json.h"
#include "match/json/findings_of_json.h"
#include "match/model/parameters.h"
#include "match/trace_match.h"
#include "scope/trace_file.h"
#include "scope/trace_rate.h"
#include "sound/clip/clip_reader.h"
#include "support/names.h"
#include "tones/find_tones.h"
#include "tones/join/sound_mark.h"
#include "tones/join/unit_tones.h"

namespace fs = std::filesystem;

TEST_CASE("the shipped recordings are what their generator makes, and the manifest says what is in them") {
    const fs::path made = fs::temp_directory_path() / ("tattletone-samples-" + std::to_string(std::rand()));
    fs::create_directories(made);
    const fs::path rows_file = made / "rows.md";
    REQUIRE(
        std::system((std::string("\"") + MAKE_SAMPLES + "\" \"" + made.string() + "\" > \"" + rows_file.string() + "\"")
                        .c_str()) == 0);

    const fs::path shipped = fs::path(TATTLETONE_SOURCE_DIR) / "samples";
    std::ifstream manifest_file(shipped / "README.md");
    const std::string manifest((std::istreambuf_iterator<char>(manifest_file)), {});
    std::ifstream rows(rows_file);
    int count = 0;
    for (std::string row; std::getline(rows, row); ++count) {
        INFO("samples/README.md lacks: " << row);
        CHECK(manifest.find(row + "\n") != std::string::npos);
    }
    CHECK(count >= 8);

    for (const char* name : {"clear", "faint", "wandering", "room", "quiet", "undeclared", "sounding", "reading"}) {
        INFO(name);
        const auto ours = tattletone::read_clip((shipped / (std::string(name) + ".flac")).string());
        const auto again = tattletone::read_clip((made / (std::string(name) + ".flac")).string());
        REQUIRE(ours);
        REQUIRE(again);
        CHECK(ours->sample_rate_hz == 48000.0);
        REQUIRE(ours->samples.size() == again->samples.size());
        REQUIRE(ours->samples.size() == 384000);
        // Equal to the bit on one machine. Another C library may round log, sin and cos in the last digit, which shows
        // where a sample falls on the edge between two steps: one step, and rarely.
        std::size_t different = 0;
        double worst = 0.0;
        for (std::size_t i = 0; i < ours->samples.size(); ++i) {
            const double off = std::abs(static_cast<double>(ours->samples[i]) - static_cast<double>(again->samples[i]));
            different += off > 0.0;
            worst = std::max(worst, off);
        }
        CHECK(worst <= 1.0 / 32768.0);
        CHECK(different <= ours->samples.size() / 10000);
    }
    const auto ours = tattletone::read_trace((shipped / "rail.csv").string());
    const auto again = tattletone::read_trace((made / "rail.csv").string());
    REQUIRE(ours);
    REQUIRE(again);
    REQUIRE(ours->rows() == 5000);
    REQUIRE(again->rows() == 5000);
    double worst = 0.0;
    for (std::size_t i = 0; i < ours->rows(); ++i)
        worst = std::max(worst, std::abs(static_cast<double>(ours->columns[0].values[i]) -
                                         static_cast<double>(again->columns[0].values[i])));
    CHECK(worst < 0.0011);  // one step of the last digit
    fs::remove_all(made);
}

// DETECTION.md 12.3.
TEST_CASE("a copy of a shipped recording is known again wherever it was cut, and another recording is none") {
    const fs::path shipped = fs::path(TATTLETONE_SOURCE_DIR) / "samples";
    std::vector<tattletone::Recording> recordings;
    std::vector<tattletone::Tones> whole;
    for (const char* name : {"clear", "wandering", "room", "sounding"}) {
        auto recording = tattletone::read_clip((shipped / (std::string(name) + ".flac")).string());
        REQUIRE(recording);
        recordings.push_back(std::move(*recording));
        whole.push_back(tattletone::find_tones(recordings.back()));
    }
    for (std::size_t i = 0; i < recordings.size(); ++i) {
        for (const double from : {0.0, 0.31, 0.77, 1.3, 2.05}) {
            tattletone::Recording copy = recordings[i];
            const auto cut = static_cast<std::ptrdiff_t>(from * copy.sample_rate_hz);
            copy.samples.erase(copy.samples.begin(), copy.samples.begin() + cut);
            for (float& sample : copy.samples) sample = 0.5f * std::round(sample * 16384.0f) / 16384.0f;
            INFO("recording " << i << " from " << from << " s");
            CHECK(tattletone::tones::same_sound(whole[i], tattletone::find_tones(copy)));
        }
        for (std::size_t other = 0; other < i; ++other) CHECK(!tattletone::tones::same_sound(whole[i], whole[other]));
    }
}

TEST_CASE("the shipped trace shows the sounder, and is evidence for it") {
    const fs::path shipped = fs::path(TATTLETONE_SOURCE_DIR) / "samples";
    const auto sheet = tattletone::read_sheet((shipped / "limpet.toml").string());
    const auto trace = tattletone::read_trace((shipped / "rail.csv").string());
    REQUIRE(sheet.sheet);
    REQUIRE(trace);
    REQUIRE(trace->columns.size() == 1);
    CHECK(trace->columns[0].name == "3V3");
    const auto shape =
        tattletone::analyse_trace(trace->columns[0].values, trace->increment_seconds, trace->increment_sd);
    REQUIRE(shape.repetition);
    CHECK(std::abs(shape.repetition->hz - 3199.926) < 4.0 * shape.repetition->hz_sd);
    CHECK(shape.repetition->hz_sd < 0.2);

    tattletone::TraceJoin join;
    join.line.column = "3V3";
    join.line.rail = tattletone::rail_named(*sheet.sheet, "3V3").value_or(-1);
    join.line.hz = shape.repetition->hz;
    join.line.hz_sd = shape.repetition->hz_sd;
    const auto clip = tattletone::read_clip((shipped / "clear.flac").string());
    REQUIRE(clip);
    const auto findings = tattletone::diagnose_with_trace(
        &*sheet.sheet, tattletone::unite({{"", "", "", tattletone::find_tones(*clip)}}, nullptr),
        tattletone::fitted_parameters(), {}, join);
    REQUIRE(!join.causes.empty());
    CHECK(join.causes[0].rate == "sounder.frame");
    CHECK(join.causes[0].probability > 0.95);
    REQUIRE(!findings.suspects.empty());
    CHECK(findings.suspects[0].rate == "sounder.frame");
    CHECK(findings.suspects[0].probability > 0.95);
    REQUIRE(!join.tones.empty());
    CHECK(join.tones[0].same);
}

TEST_CASE("each shipped recording gets the answer that its manifest gives, and its fan is nobody's tone") {
    const fs::path shipped = fs::path(TATTLETONE_SOURCE_DIR) / "samples";
    const auto sheet = tattletone::read_sheet((shipped / "limpet.toml").string());
    REQUIRE(sheet.sheet);
    const auto room = tattletone::read_clip((shipped / "room.flac").string());
    REQUIRE(room);
    const auto room_tones = tattletone::find_tones(*room);
    const struct {
        const char *name, *first;
        std::size_t board_tones_without_suspect;
    } answers[] = {{"clear", "sounder.frame", 0},
                   {"faint", "screen.row", 0},
                   {"wandering", "core-regulator.burst", 0},
                   {"quiet", "", 0},
                   {"undeclared", "", 1}};
    for (const auto& answer : answers)
        for (const bool with_room : {false, true}) {
            INFO(answer.name << (with_room ? " with" : " without") << " the room recording");
            const auto clip = tattletone::read_clip((shipped / (std::string(answer.name) + ".flac")).string());
            REQUIRE(clip);
            const auto findings = tattletone::diagnose(
                &*sheet.sheet,
                tattletone::unite({{"", "", "", tattletone::find_tones(*clip)}}, with_room ? &room_tones : nullptr));
            const bool named = findings.verdict == tattletone::Verdict::named;
            CHECK(named == (*answer.first != '\0'));
            if (named) CHECK(findings.suspects.at(0).rate == answer.first);
            std::size_t unexplained = 0;
            for (const auto& tone : findings.unit.tones)
                if (tone.tone.origin == tattletone::Origin::board) {
                    const auto explained = findings.explained_by.find(tone.id);
                    unexplained +=
                        explained == findings.explained_by.end() || explained->second.front().probability < 0.5;
                }
            CHECK(unexplained == answer.board_tones_without_suspect);
            const std::string json = tattletone::findings_json(findings);
            const auto again = tattletone::findings_of_json(json);
            REQUIRE(again);
            CHECK(tattletone::findings_json(*again) == json);
        }
}
