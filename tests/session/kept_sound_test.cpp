#include "session/kept_sound.h"

#include <unistd.h>

#include <catch2/catch.hpp>
#include <filesystem>

#include "sound/clip_reader.h"

using namespace tattletone;

namespace {

struct Folder {
    Folder() {
        std::string pattern =
            (std::filesystem::temp_directory_path() / "tattletone-kept-XXXXXX").string();
        REQUIRE(mkdtemp(pattern.data()) != nullptr);
        path = pattern;
    }
    ~Folder() { std::filesystem::remove_all(path); }
    std::string path;
};

}  // namespace

TEST_CASE("each side of a gap has its own file, tiny stretches have none") {
    const Folder folder;
    const std::string path = folder.path + "/heard.flac";
    auto kept = KeptSound::create(path, 8000.0);
    REQUIRE(kept);
    CHECK_FALSE(std::filesystem::exists(path));
    kept->add(std::vector<float>(8000, 0.25f), true);
    kept->add(std::vector<float>(8000, 0.25f), false);
    kept->add(std::vector<float>(100, 0.125f), true);
    kept->add(std::vector<float>(6000, 0.5f), true);
    const auto written = kept->finish();
    REQUIRE(written);
    CHECK(*written == std::vector<std::string>{path, folder.path + "/heard-2.flac"});
    const auto first = read_clip((*written)[0]);
    const auto second = read_clip((*written)[1]);
    REQUIRE(first);
    REQUIRE(second);
    CHECK((first->samples == std::vector<float>(16000, 0.25f)));
    CHECK((second->samples == std::vector<float>(6000, 0.5f)));
    CHECK(std::distance(std::filesystem::directory_iterator(folder.path), {}) == 2);
}

TEST_CASE("errors: at once where nothing can be written, at the end where nothing was heard") {
    const Folder folder;
    CHECK_FALSE(KeptSound::create(folder.path + "/none/x.flac", 8000.0));
    CHECK_FALSE(KeptSound::create(folder.path + "/x.mp3", 8000.0));
    auto kept = KeptSound::create(folder.path + "/x.wav", 8000.0);
    REQUIRE(kept);
    kept->add(std::vector<float>(100, 0.1f), false);
    CHECK_FALSE(kept->finish());
    CHECK(std::filesystem::is_empty(folder.path));
}
