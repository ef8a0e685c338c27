// Layouts from RIFF 1991, Microsoft's WAVEFORMATEXTENSIBLE and EBU Tech 3306 / ITU-R BS.2088, as
// quoted in check-values.md 10.1-10.7; every file here is laid down byte by byte.
#include <cmath>

#include "clip_maker.h"
#include "sound/clip/clip_reader.h"
#include "support/names.h"

using namespace clip_maker;
using tattletone::read_clip;

namespace {

const std::string guid_tail("\x00\x00\x00\x00\x10\x00\x80\x00\x00\xAA\x00\x38\x9B\x71", 14);

std::string extensible_format(int sub_tag, int channels, int rate_hz, int container_bits, int valid_bits) {
    const int align = channels * container_bits / 8;
    return Bytes()
        .text("fmt ")
        .number(40, 4)
        .number(0xFFFE, 2)
        .number(channels, 2)
        .number(rate_hz, 4)
        .number(static_cast<std::uint64_t>(rate_hz) * align, 4)
        .number(align, 2)
        .number(container_bits, 2)
        .number(22, 2)
        .number(valid_bits, 2)
        .number(channels == 1 ? 4 : 3, 4)
        .number(sub_tag, 2)
        .text(guid_tail)
        .string();
}

tattletone::Recording read_good(const std::string& path) {
    auto recording = read_clip(path);
    INFO((recording ? std::string() : to_sentence(recording.error())));
    REQUIRE(recording);
    return *recording;
}

bool any_notice(const tattletone::Recording& recording, const std::string& part) {
    for (const std::string& notice : recording.notices) {
        if (notice.find(part) != std::string::npos) return true;
    }
    return false;
}

}  // namespace

TEST_CASE("integer samples have exact values") {
    const Folder folder;
    // 8 bit unsigned about 128, wider ones signed little-endian (check-values.md 10.7)
    save(wav(plain_format(1, 1, 8000, 8) + data_part(std::string("\x00\x80\xFF\x40", 4))), folder / "8.wav");
    CHECK(read_good(folder / "8.wav").samples == std::vector<float>{-1.0f, 0.0f, 127.0f / 128, -0.5f});

    const auto s16 = Bytes().number(0x8000, 2).number(0, 2).number(0x7FFF, 2).number(1, 2).string();
    save(wav(plain_format(1, 1, 44100, 16) + data_part(s16)), folder / "16.wav");
    const auto r16 = read_good(folder / "16.wav");
    CHECK(r16.samples == std::vector<float>{-1.0f, 0.0f, 32767.0f / 32768, 1.0f / 32768});
    CHECK(r16.sample_rate_hz == 44100.0);
    CHECK(r16.codec == "pcm_s16le");
    CHECK_FALSE(r16.lossy);
    CHECK(r16.channel_choice.empty());
    CHECK(r16.notices.empty());

    const auto s24 = Bytes().number(0x800000, 3).number(0x7FFFFF, 3).number(0xFFFFFF, 3).string();
    save(wav(plain_format(1, 1, 96000, 24) + data_part(s24)), folder / "24.wav");
    CHECK(read_good(folder / "24.wav").samples == std::vector<float>{-1.0f, 8388607.0f / 8388608, -1.0f / 8388608});

    const auto s32 = Bytes().number(0x80000000, 4).number(0x40000000, 4).number(0xC0000000, 4).string();
    save(wav(plain_format(1, 1, 192000, 32) + data_part(s32)), folder / "32.wav");
    CHECK(read_good(folder / "32.wav").samples == std::vector<float>{-1.0f, 0.5f, -0.5f});
}

TEST_CASE("float samples come as they are, and no number that is none") {
    const Folder folder;
    const auto f32 = Bytes().raw(0.1f).raw(-1.25f).raw(1e-10f).string();
    save(wav(plain_format(3, 1, 48000, 32) + data_part(f32)), folder / "f.wav");
    CHECK(read_good(folder / "f.wav").samples == std::vector<float>{0.1f, -1.25f, 1e-10f});
    const auto f64 = Bytes().raw(0.1).raw(-0.75).string();
    save(wav(plain_format(3, 1, 48000, 64) + data_part(f64)), folder / "d.wav");
    CHECK(read_good(folder / "d.wav").samples == std::vector<float>{0.1f, -0.75f});
    const auto bad = Bytes().raw(0.5f).raw(std::nanf("")).raw(-INFINITY).raw(0.25f).string();
    save(wav(plain_format(3, 1, 48000, 32) + data_part(bad)), folder / "nan.wav");
    const auto cleaned = read_good(folder / "nan.wav");
    CHECK(cleaned.samples == std::vector<float>{0.5f, 0.0f, 0.0f, 0.25f});
    CHECK(any_notice(cleaned, "2 samples are no numbers"));
}

TEST_CASE("extensible headers: valid bits sit at the top of their container") {
    const Folder folder;
    // 20 valid bits in 3 and in 4 bytes, left-justified (check-values.md 10.1)
    const auto in24 = Bytes().number(0x800000, 3).number(0x400000, 3).number(0x000010, 3).string();
    save(wav(extensible_format(1, 1, 48000, 24, 20) + data_part(in24)), folder / "20in24.wav");
    CHECK(read_good(folder / "20in24.wav").samples == std::vector<float>{-1.0f, 0.5f, 16.0f / 8388608});
    const auto in32 = Bytes().number(0x80000000, 4).number(0x40000000, 4).string();
    save(wav(extensible_format(1, 1, 48000, 32, 20) + data_part(in32)), folder / "20in32.wav");
    CHECK(read_good(folder / "20in32.wav").samples == std::vector<float>{-1.0f, 0.5f});
    save(wav(extensible_format(3, 1, 48000, 32, 32) + data_part(Bytes().raw(0.3f).string())), folder / "f.wav");
    CHECK(read_good(folder / "f.wav").samples == std::vector<float>{0.3f});
}

TEST_CASE("parts before and after the samples are skipped, odd ones with their padding") {
    const Folder folder;
    const auto odd = Bytes().text("bext").number(3, 4).text("abc").number(0, 1).string();
    const auto list = Bytes().text("LIST").number(4, 4).text("INFO").string();
    const auto samples = Bytes().number(0x4000, 2).number(0xC000, 2).string();
    save(wav(odd + plain_format(1, 1, 32000, 16) + odd + data_part(samples) + list), folder / "parts.wav");
    const auto recording = read_good(folder / "parts.wav");
    CHECK(recording.samples == std::vector<float>{0.5f, -0.5f});
    CHECK(recording.notices.empty());
}

TEST_CASE("RF64 and BW64 take their sizes from ds64") {
    const Folder folder;
    const auto samples = Bytes().number(0x4000, 2).number(0xC000, 2).string();
    const auto list = Bytes().text("LIST").number(4, 4).text("INFO").string();
    for (const char* tag : {"RF64", "BW64"}) {
        const auto file = Bytes()
                              .text(tag)
                              .number(0xFFFFFFFF, 4)
                              .text("WAVE")
                              .text("ds64")
                              .number(28, 4)
                              .number(4 + 36 + 24 + 12 + 12, 8)
                              .number(samples.size(), 8)
                              .number(2, 8)
                              .number(0, 4)
                              .text(plain_format(1, 1, 48000, 16))
                              .text("data")
                              .number(0xFFFFFFFF, 4)
                              .text(samples)
                              .text(list)
                              .string();
        save(file, folder / "rf64.wav");
        const auto recording = read_good(folder / "rf64.wav");
        CHECK(recording.samples == std::vector<float>{0.5f, -0.5f});  // and not the LIST behind
        CHECK(recording.notices.empty());
    }
}

TEST_CASE("a recorder that was cut off leaves a length of zero or of all ones") {
    const Folder folder;
    const std::string samples = sine_s16(1000.0, 8000.0, 8000, 0.5);
    for (const std::uint64_t length : {std::uint64_t{0}, std::uint64_t{0xFFFFFFFF}}) {
        save(Bytes()
                 .text("RIFF")
                 .number(length, 4)
                 .text("WAVE")
                 .text(plain_format(1, 1, 8000, 16))
                 .text("data")
                 .number(length, 4)
                 .text(samples)
                 .string(),
             folder / "lie.wav");
        const auto recording = read_good(folder / "lie.wav");
        CHECK(recording.samples.size() == 8000);
        CHECK(any_notice(recording, "does not say how long"));
        CHECK(any_notice(recording, "1.00 s"));
    }
}

TEST_CASE("a file shorter than its header promises is used as far as it goes, and says so") {
    const Folder folder;
    const std::string whole = wav(plain_format(1, 1, 8000, 16) + data_part(sine_s16(1000.0, 8000.0, 16000, 0.5)));
    save(whole.substr(0, 44 + 8001), folder / "short.wav");  // half a sample at the end
    const auto recording = read_good(folder / "short.wav");
    CHECK(recording.samples.size() == 4000);
    CHECK(any_notice(recording, "promises 2.00 s, 0.50 s are there"));
}

TEST_CASE("damaged wav headers are told apart") {
    const Folder folder;
    const auto error_of = [&](const std::string& bytes) {
        save(bytes, folder / "x.wav");
        const auto recording = read_clip(folder / "x.wav");
        REQUIRE_FALSE(recording);
        return to_sentence(recording.error());
    };
    const std::string samples = data_part(std::string(100, '\0'));
    CHECK(error_of(wav(plain_format(1, 0, 8000, 16) + samples)).find("0 channels") != std::string::npos);
    CHECK(error_of(wav(plain_format(1, 1, 0, 16) + samples)).find("0 samples a second") != std::string::npos);
    CHECK(error_of(wav(Bytes().text("fmt ").number(8, 4).number(1, 8).string() + samples)).find("cut short") !=
          std::string::npos);
    CHECK(error_of(wav(plain_format(1, 1, 8000, 16))).find("ends before its sound begins") != std::string::npos);
    CHECK(error_of(wav(plain_format(1, 1, 8000, 16) + data_part(""))).find("length zero") != std::string::npos);
    CHECK(error_of(wav(plain_format(1, 1, 8000, 16) + data_part("") +
                       Bytes().text("LIST").number(4, 4).text("INFO").string()))
              .find("length zero") != std::string::npos);
}

TEST_CASE("every cut of a wav file ends in sound or in a sentence") {
    const Folder folder;
    const std::string whole = wav(Bytes().text("bext").number(5, 4).text("abcde").number(0, 1).string() +
                                  plain_format(1, 2, 8000, 16) + data_part(sine_s16(500.0, 8000.0, 64, 0.5)));
    for (std::size_t length = 1; length <= whole.size(); ++length) {
        save(whole.substr(0, length), folder / "cut.wav");
        const auto recording = read_clip(folder / "cut.wav");
        if (recording) {
            CHECK(recording->samples.size() == (length - 58) / 4);
        } else {
            CHECK_FALSE(recording.error().what.empty());
            CHECK_FALSE(recording.error().todo.empty());
            CHECK(length < 58 + 4);
        }
    }
}
