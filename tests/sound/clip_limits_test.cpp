// What a clip may claim of itself, and what its samples may be (sound/clip/clip_limits.h, sound/clip/sane_samples.h).
#include <unistd.h>

#include <algorithm>
#include <cfloat>
#include <cstdio>
#include <limits>

#include "clip_maker.h"
#include "sound/clip/byte_stream.h"
#include "sound/clip/clip_limits.h"
#include "sound/clip/clip_reader.h"
#include "sound/clip/sane_samples.h"
#include "standard_input.h"
#include "support/names.h"

using namespace clip_maker;
using tattletone::read_clip;
namespace limits = tattletone::clip_limits;

namespace {

std::string refusal(const std::string& path) {
    const auto clip = read_clip(path);
    REQUIRE_FALSE(clip);
    CHECK_FALSE(clip.error().may_pass);
    CHECK_FALSE(clip.error().todo.empty());
    return to_sentence(clip.error());
}

bool says(const std::string& text, const std::string& part) {
    return text.find(part) != std::string::npos;
}

template <class Value>
std::string repeated(Value value, std::size_t count) {
    Bytes bytes;
    for (std::size_t i = 0; i < count; ++i) bytes.raw(value);
    return bytes.string();
}

}  // namespace

TEST_CASE("sample rates that no sound has are refused, those of every recorder are not") {
    const Folder folder;
    const auto with_rate = [&](std::uint32_t rate) {
        save(wav(plain_format(1, 1, static_cast<int>(rate), 16) + data_part(std::string(40, '\1'))), folder / "r.wav");
        return folder / "r.wav";
    };
    for (const std::uint32_t rate : {1u, 19u, 20u, 199u, 500001u, 100000000u, 4294967295u}) {
        INFO(rate);
        CHECK(says(refusal(with_rate(rate)), std::to_string(rate) + " samples a second"));
    }
    for (const std::uint32_t rate : {200u, 400u, 8000u, 44100u, 192000u, 384000u, 500000u}) {
        const auto clip = read_clip(with_rate(rate));
        REQUIRE(clip);
        CHECK(clip->sample_rate_hz == rate);
    }
}

TEST_CASE("the decoder's clips have the same bounds of their sample rate") {
    need("sox");
    const Folder folder;
    REQUIRE(run("sox -n -r 100 " + folder / "slow.flac" + " synth 1 sine 10"));
    CHECK(says(refusal(folder / "slow.flac"), "100 samples a second"));
}

TEST_CASE("channel counts that no recorder has are refused before anything is as large as they say") {
    const Folder folder;
    const auto with_channels = [&](int channels) {
        save(wav(plain_format(1, channels, 48000, 8) + data_part(std::string(262140, '\x90'))), folder / "c.wav");
        return folder / "c.wav";
    };
    for (const int channels : {65, 4096, 65535})
        CHECK(says(refusal(with_channels(channels)), std::to_string(channels) + " channels"));
    const auto clip = read_clip(with_channels(limits::most_channels));
    REQUIRE(clip);
    CHECK(clip->samples.size() == 262140 / 64);
}

TEST_CASE("lengths are believed as far as the file goes") {
    const Folder folder;
    const std::string samples = sine_s16(440.0, 8000.0, 4000, 0.5);
    for (const std::uint64_t said : {std::uint64_t{1} << 40, std::uint64_t{1} << 62, UINT64_MAX - 1}) {
        save(Bytes()
                 .text("RF64")
                 .number(0xFFFFFFFF, 4)
                 .text("WAVE")
                 .text("ds64")
                 .number(28, 4)
                 .number(said, 8)
                 .number(said, 8)
                 .number(said, 8)
                 .number(0, 4)
                 .text(plain_format(1, 2, 8000, 16))
                 .text("data")
                 .number(0xFFFFFFFF, 4)
                 .text(samples)
                 .string(),
             folder / "long.wav");
        const auto clip = read_clip(folder / "long.wav");
        INFO((clip ? std::string() : to_sentence(clip.error())));
        REQUIRE(clip);
        CHECK(clip->samples.size() == 2000);
        CHECK(clip->notices.size() == 1);
        const auto piped = read_piped(folder / "long.wav");
        REQUIRE(piped);
        CHECK(piped->samples.size() == 2000);
    }
}

TEST_CASE("more than a day of sound is refused at once") {
    const Folder folder;
    const std::uint64_t bytes = 4000ull * 24 * 3600;
    const std::string head = wav(plain_format(1, 1, 4000, 8)) + Bytes().text("data").number(bytes + 4000, 4).string();
    save(head, folder / "day.wav");
    std::filesystem::resize_file(folder / "day.wav", head.size() + bytes + 4000);  // with a hole
    CHECK(says(refusal(folder / "day.wav"), "more than 24 hours"));
    std::filesystem::resize_file(folder / "day.wav", head.size() + bytes);
    CHECK(tattletone::ClipReader::open(folder / "day.wav"));
}

TEST_CASE("a pipe that never comes to its sound is not kept") {
    // 48 MB of a part that nobody knows, before any format.
    const int kept = dup(STDIN_FILENO);
    std::FILE* pipe =
        popen("printf 'RIFF\\377\\377\\377\\377WAVEjunk\\000\\000\\000\\003'; head -c 52000000 /dev/zero", "r");
    REQUIRE(pipe != nullptr);
    REQUIRE(dup2(fileno(pipe), STDIN_FILENO) == STDIN_FILENO);
    std::clearerr(stdin);
    {
        auto stream = tattletone::ByteStream::open("-");
        REQUIRE(stream);
        std::vector<char> block(1 << 20);
        for (int i = 0; i < 40; ++i) stream->read(block.data(), block.size());
        CHECK_FALSE(stream->seek(0));  // no longer there, and said so
        CHECK(stream->read(block.data(), block.size()) > 0);
    }
    dup2(kept, STDIN_FILENO);
    close(kept);
    pclose(pipe);
    std::clearerr(stdin);
}

TEST_CASE("samples are numbers of a size that sound has") {
    const Folder folder;
    const float whole[] = {0.25f,  3e38f, -3e38f, FLT_MAX, INFINITY, -INFINITY, std::nanf(""), 8.0f, -8.0f,
                           8.001f, 1.5f,  -1.02f, 1e-15f,  -1e-15f,  0.0f,      0.5f,          0.5f, 0.5f};
    Bytes bytes;
    for (const float value : whole) bytes.raw(value);
    save(wav(plain_format(3, 1, 48000, 32) + data_part(bytes.string())), folder / "f.wav");
    const auto clip = read_clip(folder / "f.wav");
    REQUIRE(clip);
    CHECK(clip->samples == std::vector<float>{0.25f, 0, 0, 0, 0, 0, 0, 8.0f, -8.0f, 0, 1.5f, -1.02f, 1e-15f, -1e-15f,
                                              0.0f, 0.5f, 0.5f, 0.5f});
    REQUIRE(clip->notices.size() == 1);
    CHECK(says(clip->notices[0], "7 samples are no numbers"));

    // Doubles too large for a float.
    save(wav(plain_format(3, 1, 48000, 64) + data_part(Bytes().raw(1e300).raw(0.5).raw(-0.5).string())),
         folder / "d.wav");
    const auto doubles = read_clip(folder / "d.wav");
    REQUIRE(doubles);
    CHECK(doubles->samples == std::vector<float>{0.0f, 0.5f, -0.5f});
    CHECK(says(doubles->notices.at(0), "1 sample is no number"));

    // Integers written as floats: no full scale that we could know.
    save(wav(plain_format(3, 1, 48000, 32) + data_part(repeated(12000.0f, 4800))), folder / "scale.wav");
    CHECK(says(refusal(folder / "scale.wav"), "over full scale"));
    save(wav(plain_format(3, 2, 48000, 32) + data_part(repeated(std::nanf(""), 4800))), folder / "nan.wav");
    CHECK(says(refusal(folder / "nan.wav"), "no numbers"));
}

TEST_CASE("samples whose products are denormal become zero") {
    const Folder folder;
    for (const float value : {std::numeric_limits<float>::denorm_min(), 1e-40f, FLT_MIN, 1e-30f, 1e-20f, 9e-16f}) {
        save(wav(plain_format(3, 2, 48000, 32) + data_part(repeated(value, 960) + repeated(-value, 960))),
             folder / "small.wav");
        const auto clip = read_clip(folder / "small.wav");
        REQUIRE(clip);
        CHECK(std::all_of(clip->samples.begin(), clip->samples.end(), [](float x) { return x == 0.0f; }));
        CHECK(clip->notices.empty());
    }
    // Their squares, and those of what stays, are normal numbers.
    CHECK(std::fpclassify(tattletone::softest_sample * tattletone::softest_sample) == FP_NORMAL);
}
