#include <catch2/catch.hpp>

#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <string>
#include <vector>

#include "sound/clip_reader.h"

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
