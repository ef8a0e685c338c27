#include "session/sitting/kept_sound.h"

#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <csignal>

#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <random>
#include <span>
#include <string>
#include <vector>

#include "sound/clip/clip_reader.h"
#include "support/names.h"

using namespace tattletone;

namespace {

struct Folder {
    Folder() {
        std::string pattern = (std::filesystem::temp_directory_path() / "tattletone-kept-XXXXXX").string();
        REQUIRE(mkdtemp(pattern.data()) != nullptr);
        path = pattern;
    }
    ~Folder() { std::filesystem::remove_all(path); }
    std::string path;
};

OutputFile at(const std::string& path) {
    return {OutputKind::recording, path};
}

std::vector<float> hiss(std::size_t samples) {
    std::vector<float> noise(samples);
    std::mt19937 random(7);
    std::normal_distribution<float> gauss(0.0f, 0.1f);
    for (float& sample : noise) sample = gauss(random);
    return noise;
}

void write_text(const std::string& path, const std::string& text) {
    std::ofstream(path) << text;
}

}  // namespace

TEST_CASE("each side of a gap has its own file, tiny stretches have none") {
    const Folder folder;
    const std::string path = folder.path + "/heard.flac";
    auto kept = KeptSound::create(at(path), 8000.0);
    REQUIRE(kept);
    CHECK_FALSE(std::filesystem::exists(path));
    kept->add(std::vector<float>(8000, 0.25f), true);
    kept->add(std::vector<float>(8000, 0.25f), false);
    kept->add(std::vector<float>(100, 0.125f), true);
    kept->add(std::vector<float>(6000, 0.5f), true);
    const auto files = kept->finish();
    CHECK_FALSE(files.error);
    CHECK(files.rescued.empty());
    const auto& written = files.written;
    REQUIRE(written.size() == 2);
    CHECK(written == std::vector<std::string>{path, folder.path + "/heard-2.flac"});
    const auto first = read_clip(written[0]);
    const auto second = read_clip(written[1]);
    REQUIRE(first);
    REQUIRE(second);
    CHECK((first->samples == std::vector<float>(16000, 0.25f)));
    CHECK((second->samples == std::vector<float>(6000, 0.5f)));
    CHECK(std::distance(std::filesystem::directory_iterator(folder.path), {}) == 2);
}

TEST_CASE("errors: at once where nothing can be written, at the end where nothing was heard") {
    const Folder folder;
    CHECK_FALSE(KeptSound::create(at(folder.path + "/none/x.flac"), 8000.0));
    CHECK_FALSE(KeptSound::create(at(folder.path + "/x.mp3"), 8000.0));
    auto kept = KeptSound::create(at(folder.path + "/x.wav"), 8000.0);
    REQUIRE(kept);
    kept->add(std::vector<float>(100, 0.1f), false);
    CHECK(kept->finish().error);
    CHECK(std::filesystem::is_empty(folder.path));
}

TEST_CASE("what stands in the place of a further file, or came meanwhile, stays, and nothing heard is lost") {
    const Folder folder;
    const std::string path = folder.path + "/heard.flac";
    write_text(folder.path + "/heard-2.flac", "somebody's");
    auto kept = KeptSound::create(at(path), 8000.0);
    REQUIRE(kept);
    write_text(path, "came meanwhile");
    kept->add(std::vector<float>(8000, 0.25f), true);
    kept->add(std::vector<float>(8000, 0.5f), true);
    write_text(folder.path + "/heard-4.flac", "this one too");
    const auto files = kept->finish();
    CHECK_FALSE(files.error);
    CHECK(files.rescued.empty());
    const auto& written = files.written;
    REQUIRE(written.size() == 2);
    CHECK(written == std::vector<std::string>{folder.path + "/heard-3.flac", folder.path + "/heard-5.flac"});
    CHECK(read_clip(written[0])->samples.at(7) == 0.25f);
    CHECK(read_clip(written[1])->samples.at(7) == 0.5f);
    CHECK(std::filesystem::file_size(path) == 14);
    CHECK(std::filesystem::file_size(folder.path + "/heard-2.flac") == 10);
    CHECK(std::distance(std::filesystem::directory_iterator(folder.path), {}) == 5);
    CHECK_FALSE(KeptSound::create(at(path), 8000.0));
}

TEST_CASE("what a killed listener left half-made is brought to a name of its own") {
    const Folder folder;
    const std::string path = folder.path + "/heard.flac";
    // As of a process that was killed: begun, and never finished. The copy is locked by nobody.
    auto killed = KeptSound::create(at(path), 8000.0);
    REQUIRE(killed);
    const auto noise = hiss(80000);
    killed->add(noise, false);
    for (const auto& entry : std::filesystem::directory_iterator(folder.path))
        std::filesystem::copy(entry.path(), folder.path + "/heard.flac.part-01234567-89ab-4cde-8f01-23456789abcd");
    write_text(folder.path + "/heard.flac.part-01234567-89ab-4cde-8f01-23456789abce", "headers only");
    auto kept = KeptSound::create(at(path), 8000.0);  // the first one still listens: its file stays
    REQUIRE(kept);
    kept->add(std::vector<float>(8000, 0.25f), false);
    const auto files = kept->finish();
    CHECK_FALSE(files.error);
    CHECK(files.written == std::vector<std::string>{path});
    REQUIRE(files.rescued == std::vector<std::string>{folder.path + "/heard-2.flac"});
    const auto rescued = read_clip(files.rescued[0]);
    REQUIRE(rescued);
    REQUIRE(rescued->samples.size() > 70000);
    REQUIRE(rescued->samples.size() <= noise.size());
    for (std::size_t i = 0; i < rescued->samples.size(); ++i) REQUIRE(std::abs(rescued->samples[i] - noise[i]) < 1e-6f);
    CHECK(killed->finish().written == std::vector<std::string>{folder.path + "/heard-3.flac"});
    CHECK(std::distance(std::filesystem::directory_iterator(folder.path), {}) == 3);
}

TEST_CASE("what a disk took before it was full stands there as a whole clip") {
    for (const char* ending : {".flac", ".wav"}) {
        const Folder folder;
        const std::string path = folder.path + "/heard" + ending;
        const auto noise = hiss(200000);
        const pid_t child = fork();
        if (child == 0) {  // no file may grow beyond the limit: the write that would do it fails, as on a full disk
            signal(SIGXFSZ, SIG_IGN);
            const rlimit small{200000, 200000};
            if (setrlimit(RLIMIT_FSIZE, &small) != 0) _exit(2);
            auto kept = KeptSound::create(at(path), 8000.0);
            if (!kept) _exit(3);
            for (std::size_t from = 0; from < noise.size(); from += 800)
                kept->add(std::span(noise).subspan(from, 800), false);
            const auto files = kept->finish();
            if (!files.error || files.error->what.find("nothing more is kept") == std::string::npos) _exit(4);
            _exit(files.written == std::vector<std::string>{path} ? 0 : 5);
        }
        int status = 0;
        REQUIRE(waitpid(child, &status, 0) == child);
        INFO(ending);
        REQUIRE(WEXITSTATUS(status) == 0);
        CHECK(std::distance(std::filesystem::directory_iterator(folder.path), {}) == 1);
        const auto clip = read_clip(path);
        REQUIRE(clip);
        REQUIRE(clip->samples.size() > 40000);
        REQUIRE(clip->samples.size() < noise.size());
        for (std::size_t i = 0; i < clip->samples.size(); ++i) REQUIRE(std::abs(clip->samples[i] - noise[i]) < 1e-6f);
    }
}
