#include <catch2/catch.hpp>

#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <string>
#include <vector>

#include "board/sheet_reader.h"
#include "match/diagnose.h"
#include "sound/clip_reader.h"
#include "tones/find_tones.h"
#include "tones/unit_tones.h"

namespace fs = std::filesystem;

TEST_CASE("the shipped recordings are what their generator makes, and the manifest says what is in them") {
    const fs::path made = fs::temp_directory_path() / ("tattletone-samples-" + std::to_string(std::rand()));
    fs::create_directories(made);
    const fs::path rows_file = made / "rows.md";
    REQUIRE(std::system((std::string("\"") + MAKE_SAMPLES + "\" \"" + made.string() + "\" > \"" + rows_file.string() + "\"").c_str()) == 0);

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
        // Equal to the bit on one machine. Another C library may round log, sin and cos in the last digit,
        // which shows where a sample falls on the edge between two steps: one step, and rarely.
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
    fs::remove_all(made);
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
                    unexplained += explained == findings.explained_by.end() ||
                                   explained->second.front().probability < 0.5;
                }
            CHECK(unexplained == answer.board_tones_without_suspect);
        }
}
