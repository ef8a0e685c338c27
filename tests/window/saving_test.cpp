// What the window saves goes by the rule of base/files/output_file.h.
#include "window/platform/saving.h"
#include "support/names.h"

#include <catch2/catch.hpp>

#include <filesystem>
#include <fstream>
#include <random>

#include "base/files/file_content.h"
#include "match/json/findings_json.h"

using namespace tattletone;
namespace fs = std::filesystem;

namespace {

struct Folder {
    fs::path path = fs::temp_directory_path() / ("tattletone säving " + std::to_string(std::random_device{}()));
    ~Folder() {
        std::error_code ignored;
        fs::remove_all(path, ignored);
    }
    std::string file(const std::string& name) const { return (path / name).string(); }
};

}  // namespace

TEST_CASE("a saved picture is a PNG with the program's mark, and replaces nothing else") {
    const Folder folder;
    const std::vector<std::uint8_t> pixels(4 * 6, 200);
    const std::string path = folder.file("new folder/picture.png");
    REQUIRE_FALSE(save_png(path, pixels, 3, 2));
    const auto seen = look_at_file(path);
    REQUIRE(seen);
    CHECK(seen->mark == OutputKind::window_picture);
    REQUIRE_FALSE(save_png(path, pixels, 3, 2));
    for (const char* standing : {"Dear Ada", "fLaC", "{\"format\": \"tattletone findings 1\"}"}) {
        std::ofstream(path) << standing;
        CHECK(save_png(path, pixels, 3, 2));
        CHECK(content_of(path) == standing);
    }
    CHECK(std::distance(fs::directory_iterator(folder.file("new folder")), {}) == 1);
}

TEST_CASE("saved findings replace nothing, and a further one gets a name of its own") {
    const Folder folder;
    fs::create_directories(folder.path);
    const std::string path = new_path(folder.path.string(), ".json");
    for (int turn = 0; turn < 2; ++turn)  // the second time over its own
        REQUIRE_FALSE(save_text(path, OutputKind::findings_file, findings_json(Findings{}) + "\n"));
    const std::string next = new_path(folder.path.string(), ".json");
    CHECK(next != path);
    std::ofstream(next) << "Dear Ada";
    CHECK(save_text(next, OutputKind::findings_file, "{}"));
    CHECK(content_of(next) == "Dear Ada");
}
