// What is written is checked by other programs' reading (ffmpeg through our reader, sox directly).
#include "sound/clip/clip_writer.h"

#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>

#include <algorithm>
#include <csignal>

#include "clip_maker.h"
#include "sound/clip/clip_reader.h"
#include "support/names.h"

using namespace clip_maker;
using namespace tattletone;

namespace {

Recording ramp(int bits) {
    Recording recording;
    recording.sample_rate_hz = 48000.0;
    const int half = 1 << (bits - 1);
    for (int i = 0; i < 50000; ++i) {
        const auto value = static_cast<std::int64_t>(i) * 7919 % (2 * half) - half;
        recording.samples.push_back(static_cast<float>(static_cast<double>(value) / half));
    }
    return recording;
}

std::size_t files_in(const std::string& path) {
    return static_cast<std::size_t>(std::distance(std::filesystem::directory_iterator(path), {}));
}

}  // namespace

TEST_CASE("samples of 16 and 24 bits go out and come back exactly") {
    const Folder folder;
    const std::pair<ClipFormat, int> cases[] = {{ClipFormat::flac_16, 16},
                                                {ClipFormat::wav_16, 16},
                                                {ClipFormat::flac_24, 24},
                                                {ClipFormat::wav_24, 24},
                                                {ClipFormat::wav_float, 24}};
    for (const auto& [format, bits] : cases) {
        const Recording original = ramp(bits);
        const bool flac = format == ClipFormat::flac_16 || format == ClipFormat::flac_24;
        const std::string path = folder / (flac ? "x.flac" : "x.wav");
        const auto error = write_clip(path, original, format);
        INFO((error ? to_sentence(*error) : std::string()));
        REQUIRE_FALSE(error);
        const auto back = read_clip(path);
        REQUIRE(back);
        CHECK(back->sample_rate_hz == 48000.0);
        CHECK((back->samples == original.samples));
        CHECK(back->notices.empty());
    }
    CHECK(files_in(folder.path()) == 2);  // no part of a file is left
}

TEST_CASE("another program reads the kept files") {
    need("sox");
    const Folder folder;
    for (const auto& [format, name] : {std::pair{ClipFormat::flac_16, "16.flac"},
                                       {ClipFormat::flac_24, "24.flac"},
                                       {ClipFormat::wav_24, "24.wav"},
                                       {ClipFormat::wav_float, "float.wav"}}) {
        INFO(name);
        REQUIRE_FALSE(write_clip(folder / name, ramp(16), format));
        CHECK(run("sox " + folder / name + " -n stat"));
    }
}

TEST_CASE("beyond full scale clips, and nonsense becomes silence") {
    const Folder folder;
    Recording recording;
    recording.sample_rate_hz = 8000.0;
    recording.samples = {2.0f, -2.0f, std::nanf(""), 0.5f};
    REQUIRE_FALSE(write_clip(folder / "x.flac", recording, ClipFormat::flac_16));
    const auto back = read_clip(folder / "x.flac");
    REQUIRE(back);
    CHECK(back->samples == std::vector<float>{32767.0f / 32768, -1.0f, 0.0f, 0.5f});
}

TEST_CASE("a recording is not replaced unless that was asked for") {
    const Folder folder;
    const OutputFile place{OutputKind::recording, folder / "x.flac"};
    REQUIRE_FALSE(write_clip(place, ramp(24), ClipFormat::flac_24));
    const auto refused = ClipWriter::create(place, 48000.0, ClipFormat::flac_24);
    REQUIRE_FALSE(refused);
    CHECK(refused.error().what == "a recording stands there");
    OutputFile sure = place;
    sure.overwrite = true;
    REQUIRE_FALSE(write_clip(sure, ramp(16), ClipFormat::flac_16));
    const auto back = read_clip(folder / "x.flac");
    REQUIRE(back);
    CHECK((back->samples == ramp(16).samples));
    CHECK(files_in(folder.path()) == 1);
}

TEST_CASE("a writer dropped before its end leaves the old file and nothing else") {
    const Folder folder;
    save("old", folder / "x.flac");
    {
        OutputFile place{OutputKind::recording, folder / "x.flac"};
        place.overwrite = true;
        auto writer = ClipWriter::create(place, 48000.0, ClipFormat::flac_24);
        REQUIRE(writer);
        REQUIRE_FALSE(writer->write(ramp(16).samples));
    }
    CHECK(files_in(folder.path()) == 1);
    CHECK(std::filesystem::file_size(folder / "x.flac") == 3);
}

TEST_CASE("places where nothing can be written") {
    const Folder folder;
    const auto error_for = [](const std::string& path) {
        const auto error = write_clip(path, ramp(16), ClipFormat::flac_16);
        REQUIRE(error);
        CHECK(error->where == path);
        CHECK_FALSE(error->todo.empty());
        return error->what;
    };
    CHECK(error_for(folder / "no/x.flac") == "its folder does not exist");
    CHECK(error_for(folder.path()) == "this is a folder");
    REQUIRE(chmod(folder.path().c_str(), 0555) == 0);
    const pid_t child = fork();  // root may write everywhere: ask as somebody else
    if (child == 0) {
        if (geteuid() == 0 && seteuid(65534) != 0) _exit(2);
        const auto error = write_clip(folder / "x.flac", ramp(16), ClipFormat::flac_16);
        _exit(error && error->what.find("no permission") != std::string::npos ? 0 : 1);
    }
    int status = 0;
    REQUIRE(waitpid(child, &status, 0) == child);
    CHECK(WEXITSTATUS(status) == 0);
    REQUIRE(chmod(folder.path().c_str(), 0755) == 0);
    CHECK(files_in(folder.path()) == 0);
    CHECK(clip_format_for("x.FLAC"));
    CHECK(clip_format_for("x.wav"));
    CHECK_FALSE(clip_format_for("x.mp3"));
    CHECK_FALSE(clip_format_for("x"));
}

TEST_CASE("a disk that takes no more: an error, and nothing half-written") {
    const Folder folder;
    const pid_t child = fork();
    if (child == 0) {
        signal(SIGXFSZ, SIG_IGN);
        const rlimit small{20000, 20000};
        if (setrlimit(RLIMIT_FSIZE, &small) != 0) _exit(2);
        const auto error = write_clip(folder / "x.wav", ramp(16), ClipFormat::wav_16);
        _exit(error && error->what.find("nothing was kept") != std::string::npos ? 0 : 1);
    }
    int status = 0;
    REQUIRE(waitpid(child, &status, 0) == child);
    CHECK(WEXITSTATUS(status) == 0);
    CHECK(files_in(folder.path()) == 0);
}
