// Each way in which a file can fail has its own sentence with advice.
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include "clip_maker.h"
#include "sound/clip/clip_reader.h"
#include "support/names.h"

using namespace clip_maker;
using tattletone::read_clip;

namespace {

void expect_error(const std::string& path, const std::string& what) {
    const auto clip = read_clip(path);
    INFO(path);
    REQUIRE_FALSE(clip);
    const auto& error = clip.error();
    INFO(to_sentence(error));
    CHECK(error.where == path);
    CHECK(error.what.find(what) != std::string::npos);
    CHECK_FALSE(error.todo.empty());
    CHECK(error.what.back() != '.');
    CHECK(error.todo.back() != '.');
}

}  // namespace

TEST_CASE("what is not there or not a file") {
    const Folder folder;
    expect_error(folder / "none.wav", "there is no such file");
    expect_error(folder / "none/none.wav", "there is no such file");
    expect_error(folder.path(), "this is a folder");
    save("", folder / "empty.wav");
    expect_error(folder / "empty.wav", "empty (0 bytes)");
    expect_error("http://localhost:1/x.mp3", "there is no such file");  // never goes to the network
}

TEST_CASE("no permission") {
    const Folder folder;
    save("x", folder / "secret.wav");
    REQUIRE(chmod((folder / "secret.wav").c_str(), 0) == 0);
    REQUIRE(chmod(folder.path().c_str(), 0755) == 0);
    const pid_t child = fork();  // root may read everything: ask as somebody else
    if (child == 0) {
        if (geteuid() == 0 && seteuid(65534) != 0) _exit(2);
        const auto clip = read_clip(folder / "secret.wav");
        _exit(!clip && clip.error().what.find("no permission") != std::string::npos ? 0 : 1);
    }
    int status = 0;
    REQUIRE(waitpid(child, &status, 0) == child);
    CHECK(WEXITSTATUS(status) == 0);
}

TEST_CASE("files that hold no sound") {
    const Folder folder;
    save("This is a note to myself.\nBuy capacitors.\n", folder / "note.wav");
    expect_error(folder / "note.wav", "holds text");
    save("RIFF", folder / "four.wav");
    expect_error(folder / "four.wav", "holds text");
    save("#EXTM3U\nhttp://localhost:1/a.ts\n", folder / "list.m3u8");
    expect_error(folder / "list.m3u8", "holds text");
    std::string noise;
    std::uint32_t seed = 12345;
    for (int i = 0; i < 50000; ++i) noise.push_back(static_cast<char>((seed = seed * 1664525u + 1013904223u) >> 24));
    save(noise, folder / "noise.bin");
    expect_error(folder / "noise.bin", "no sound in a format");
}

TEST_CASE("pictures have no sound track") {
    need("ffmpeg");
    const Folder folder;
    REQUIRE(run("ffmpeg -nostdin -v error -y -f lavfi -i testsrc=s=64x64:d=1 -c:v mpeg4 " + folder / "silent.mp4"));
    expect_error(folder / "silent.mp4", "no sound track");
    REQUIRE(run("ffmpeg -nostdin -v error -y -f lavfi -i testsrc=s=64x64:d=1 -frames:v 1 " + folder / "p.jpg"));
    expect_error(folder / "p.jpg", "no sound track");
}

TEST_CASE("a phone clip cut off before its index") {
    need("ffmpeg");
    const Folder folder;
    save(wav(plain_format(1, 1, 48000, 16) + data_part(sine_s16(1000.0, 48000.0, 144000, 0.5))), folder / "t.wav");
    REQUIRE(run("ffmpeg -nostdin -v error -y -i " + folder / "t.wav" + " -c:a aac " + folder / "t.m4a"));
    REQUIRE(run("head -c 20000 " + folder / "t.m4a" + " > " + folder / "cut.m4a"));
    expect_error(folder / "cut.m4a", "cut off: its index (the moov part) is missing");
}

TEST_CASE("encrypted sound") {
    need("ffmpeg");
    const Folder folder;
    save(wav(plain_format(1, 1, 48000, 16) + data_part(sine_s16(1000.0, 48000.0, 48000, 0.5))), folder / "t.wav");
    REQUIRE(run("ffmpeg -nostdin -v error -y -i " + folder / "t.wav" +
                " -c:a aac -encryption_scheme cenc-aes-ctr -encryption_key "
                "76a6c65c5ea762046bd749a2e632ccbb "
                "-encryption_kid a7e61c373e219033c21091fa607bf3b8 " +
                folder / "enc.mp4"));
    expect_error(folder / "enc.mp4", "encrypted");
}

TEST_CASE("a coding that nobody here knows") {
    const Folder folder;
    save(wav(plain_format(0x7E57, 1, 8000, 16) + data_part(std::string(4000, '\x11'))), folder / "odd.wav");
    expect_error(folder / "odd.wav", "cannot be decoded here");
}
