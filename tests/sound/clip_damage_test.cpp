// Damage in the middle, clips that break off, and standard input.
#include <fcntl.h>
#include <unistd.h>

#include <algorithm>
#include <cstdio>

#include "clip_maker.h"
#include "sound/clip/clip_reader.h"
#include "standard_input.h"
#include "support/names.h"

using namespace clip_maker;
using tattletone::read_clip;

namespace {

void save_tone(const std::string& path, std::size_t count = 144000) {
    save(wav(plain_format(1, 1, 48000, 16) + data_part(sine_s16(1000.0, 48000.0, count, 0.5))), path);
}

std::string load(const std::string& path) {
    std::ifstream file(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(file), {}};
}

}  // namespace

TEST_CASE("a clip damaged in the middle gives the rest, with a gap and a notice") {
    need("ffmpeg");
    const Folder folder;
    save_tone(folder / "t.wav");
    for (const char* kind : {"flac", "mp3", "m4a"}) {
        INFO(kind);
        const std::string path = folder / (std::string("t.") + kind);
        REQUIRE(run("ffmpeg -nostdin -v error -y -i " + folder / "t.wav" + " " + path));
        std::string bytes = load(path);
        std::uint32_t seed = 99;
        for (std::size_t i = bytes.size() / 2; i < bytes.size() / 2 + bytes.size() / 20; ++i) {
            bytes[i] = static_cast<char>((seed = seed * 1664525u + 1013904223u) >> 24);
        }
        save(bytes, path);
        const auto clip = read_clip(path);
        REQUIRE(clip);
        CHECK(clip->seconds() > 2.0);
        CHECK(clip->seconds() < 3.05);
        REQUIRE_FALSE(clip->notices.empty());
        CHECK(clip->notices[0].find("damaged") != std::string::npos);
        REQUIRE(clip->gaps.size() >= 1);
        CHECK(clip->gaps[0] > 43200);
        CHECK(clip->gaps[0] < 100800);
        for (const float sample : clip->samples) {
            if (std::abs(sample) > 8.0f) FAIL("a decoder's monster came through: " << sample);
        }
    }
}

TEST_CASE("clips that break off say how much was used") {
    need("ffmpeg");
    const Folder folder;
    save_tone(folder / "t.wav");
    for (const char* kind : {"flac", "mp3"}) {
        INFO(kind);
        const std::string path = folder / (std::string("t.") + kind);
        REQUIRE(run("ffmpeg -nostdin -v error -y -i " + folder / "t.wav" + " " + path));
        save(load(path).substr(0, std::filesystem::file_size(path) / 2), path);
        const auto clip = read_clip(path);
        REQUIRE(clip);
        CHECK(clip->seconds() > 1.0);
        CHECK(clip->seconds() < 2.0);
        REQUIRE_FALSE(clip->notices.empty());
        char used[16];
        std::snprintf(used, sizeof used, "%.2f s", clip->seconds());
        CHECK(clip->notices[0].find(used) != std::string::npos);
    }
}

TEST_CASE("standard input reads like the file") {
    need("ffmpeg");
    const Folder folder;
    save_tone(folder / "t.wav", 100000);
    for (const char* kind : {"flac", "ogg", "mp3", "m4a", "webm"}) {
        REQUIRE(run("ffmpeg -nostdin -v error -y -i " + folder / "t.wav" + " " + folder / (std::string("t.") + kind)));
    }
    // What a program that writes wav into a pipe sends: lengths of all ones.
    REQUIRE(run("ffmpeg -nostdin -v error -y -i " + folder / "t.wav" + " -c:a adpcm_ima_wav " + folder / "adpcm.wav"));
    for (const char* name : {"t.wav", "adpcm.wav", "t.flac", "t.ogg", "t.mp3", "t.m4a", "t.webm"}) {
        INFO(name);
        const auto direct = read_clip(folder / name);
        REQUIRE(direct);
        const auto piped = read_piped(folder / name);
        INFO((piped ? std::string() : to_sentence(piped.error())));
        REQUIRE(piped);
        // An mp3's end padding is trimmed only where its end can be looked at first.
        const bool padded = std::string(name) == "t.mp3" && piped->samples.size() > direct->samples.size();
        const auto same_until = padded ? direct->samples.size() - 2000 : direct->samples.size();
        CHECK((padded || piped->samples.size() == direct->samples.size()));
        CHECK(piped->samples.size() < direct->samples.size() + 2304);
        CHECK(std::equal(piped->samples.begin(), piped->samples.begin() + static_cast<std::ptrdiff_t>(same_until),
                         direct->samples.begin()));
        CHECK(piped->origin == "-");
    }
}

TEST_CASE("nothing on standard input is a sentence") {
    const int nothing = open("/dev/null", O_RDONLY);
    const auto clip = read_from(nothing);
    close(nothing);
    REQUIRE_FALSE(clip);
    CHECK(clip.error().where == "standard input");
    CHECK(clip.error().what.find("empty") != std::string::npos);
}
