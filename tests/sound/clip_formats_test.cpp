// Each kind of clip that a phone or recorder sends, made by ffmpeg and sox (neither is ours): a
// sine of 1 kHz at -6 dBFS for 3 s at 48 kHz must come out with its rate, length and level.
#include "clip_maker.h"
#include "sound/clip/clip_reader.h"
#include "support/names.h"

using namespace clip_maker;
using tattletone::ClipReader;
using tattletone::read_clip;

namespace {

struct Kind {
    std::string file;
    std::string make;  // a shell command; IN and OUT are replaced
    std::string codec;
    bool lossy;
    double rate_hz;
    double length_within_seconds;  // coders pad: AAC 1024 samples a frame, AMR 20 ms (3GPP TS 26.071)
    double level_within_db;
};

const std::string ff = "ffmpeg -nostdin -v error -y -i IN ";

const std::vector<Kind> kinds{
    {"u8.wav", "sox IN -b 8 -D OUT", "pcm_u8", false, 48000, 0, 0.05},
    {"s16.wav", "sox IN -b 16 -D OUT", "pcm_s16le", false, 48000, 0, 0.01},
    {"s24.wav", "sox IN -b 24 -D OUT", "pcm_s24le", false, 48000, 0, 0.01},
    {"s32.wav", "sox IN -b 32 -D OUT", "pcm_s32le", false, 48000, 0, 0.01},
    {"f32.wav", "sox IN -e float -b 32 OUT", "pcm_f32le", false, 48000, 0, 0.01},
    {"f64.wav", "sox IN -e float -b 64 OUT", "pcm_f64le", false, 48000, 0, 0.01},
    {"rf64.wav", ff + "-rf64 always OUT", "pcm_s16le", false, 48000, 0, 0.01},
    {"alaw.wav", ff + "-c:a pcm_alaw OUT", "pcm_alaw", true, 48000, 0, 0.3},
    {"adpcm.wav", ff + "-c:a adpcm_ima_wav OUT", "adpcm_ima_wav", true, 48000, 0.05, 0.3},
    {"a.aiff", ff + "OUT", "pcm_s16be", false, 48000, 0, 0.01},
    {"a.caf", ff + "OUT", "pcm_s16be", false, 48000, 0, 0.01},
    {"a.flac", ff + "OUT", "flac", false, 48000, 0, 0.01},
    {"a24.flac", ff + "-sample_fmt s32 OUT", "flac", false, 48000, 0, 0.01},
    {"a.ogg", ff + "-c:a libvorbis OUT", "vorbis", true, 48000, 0.01, 0.3},
    {"a.opus", ff + "-c:a libopus OUT", "opus", true, 48000, 0.01, 0.3},
    {"a.mp3", ff + "-c:a libmp3lame -b:a 128k OUT", "mp3", true, 48000, 0.06, 0.6},
    {"a.m4a", ff + "-c:a aac OUT", "aac", true, 48000, 0.05, 0.3},
    {"front.m4a", ff + "-c:a aac -movflags +faststart OUT", "aac", true, 48000, 0.05, 0.3},
    {"a.aac", ff + "-c:a aac OUT", "aac", true, 48000, 0.06, 0.3},
    {"alac.m4a", ff + "-c:a alac OUT", "alac", false, 48000, 0, 0.01},
    {"a.3gp", "sox IN -r 8000 OUT.amr-nb && ffmpeg -nostdin -v error -y -i OUT.amr-nb -c copy OUT", "amr_nb", true,
     8000, 0.05, 1.5},
    {"a.amr", "sox IN -r 8000 -t amr-nb OUT", "amr_nb", true, 8000, 0.05, 1.5},
    {"a.webm", ff + "-c:a libopus OUT", "opus", true, 48000, 0.03, 0.3},
    {"a.mp4", ff + "-f lavfi -i testsrc=s=64x64:d=3 -c:v mpeg4 -c:a aac OUT", "aac", true, 48000, 0.05, 0.3},
    {"a.mkv", ff + "-f lavfi -i testsrc=s=64x64:d=3 -c:v mpeg4 -c:a flac OUT", "flac", false, 48000, 0.03, 0.01},
};

std::string filled(std::string command, const std::string& in, const std::string& out) {
    const auto replace = [&](const std::string& what, const std::string& by) {
        for (std::size_t at = 0; (at = command.find(what, at)) != std::string::npos; at += by.size()) {
            command.replace(at, what.size(), by);
        }
    };
    replace("IN", in);
    replace("OUT", out);
    return command;
}

void save_tone(const std::string& path) {
    save(wav(plain_format(1, 1, 48000, 16) + data_part(sine_s16(1000.0, 48000.0, 144000, 0.5))), path);
}

/// One case a kind, so that a kind which the tools here cannot make is skipped alone.
class KeepsRateLengthAndLevel : public Catch::ITestInvoker {
  public:
    explicit KeepsRateLengthAndLevel(const Kind& kind) : kind_(kind) {}

    void invoke() const override {
        need("ffmpeg");
        need("sox");
        const Folder folder;
        save_tone(folder / "tone.wav");
        if (!run("( " + filled(kind_.make, folder / "tone.wav", folder / kind_.file) + " )"))
            skip_test("the tools here cannot make " + kind_.file);
        const auto clip = read_clip(folder / kind_.file);
        INFO((clip ? std::string() : to_sentence(clip.error())));
        REQUIRE(clip);
        CHECK(clip->sample_rate_hz == kind_.rate_hz);
        CHECK(clip->codec == kind_.codec);
        CHECK(clip->lossy == kind_.lossy);
        CHECK(clip->gaps.empty());
        for (const auto& notice : clip->notices) FAIL_CHECK(notice);
        CHECK(std::abs(clip->seconds() - 3.0) <= kind_.length_within_seconds);
        const auto middle = std::span(clip->samples).subspan(clip->samples.size() / 4, clip->samples.size() / 2);
        CHECK(std::abs(line_dbfs(middle, 1000.0, kind_.rate_hz) - 20.0 * std::log10(0.5)) <= kind_.level_within_db);
    }

  private:
    const Kind& kind_;
};

const bool one_case_a_kind = [] {
    for (const Kind& kind : kinds)
        Catch::AutoReg(new KeepsRateLengthAndLevel(kind), CATCH_INTERNAL_LINEINFO, "",
                       Catch::NameAndTags(kind.file + " keeps its rate, length and level"));
    return true;
}();

}  // namespace

TEST_CASE("lossless clips are the very samples") {
    need("ffmpeg");
    const Folder folder;
    save_tone(folder / "tone.wav");
    const auto original = read_clip(folder / "tone.wav");
    REQUIRE(original);
    for (const char* name : {"a.flac", "a.aiff", "a.caf", "a.w64", "a.mkv", "a.au"}) {
        INFO(name);
        REQUIRE(run("ffmpeg -nostdin -v error -y -i " + folder / "tone.wav" + " " +
                    (std::string(name) == "a.mkv" ? "-c:a flac " : "") + folder / name));
        const auto copy = read_clip(folder / name);
        REQUIRE(copy);
        CHECK((copy->samples == original->samples));
    }
}

TEST_CASE("reading in pieces of any size gives the same samples as at once") {
    need("ffmpeg");
    const Folder folder;
    save_tone(folder / "tone.wav");
    REQUIRE(run("ffmpeg -nostdin -v error -y -i " + folder / "tone.wav" + " -c:a aac -ac 2 " + folder / "a.m4a"));
    REQUIRE(run("ffmpeg -nostdin -v error -y -i " + folder / "tone.wav" + " -c:a flac " + folder / "a.flac"));
    for (const char* name : {"tone.wav", "a.m4a", "a.flac"}) {
        INFO(name);
        const auto whole = read_clip(folder / name);
        REQUIRE(whole);
        for (const std::size_t size : {std::size_t{1000}, std::size_t{4097}, std::size_t{100000}}) {
            auto reader = ClipReader::open(folder / name);
            REQUIRE(reader);
            std::vector<float> samples, piece(size);
            while (true) {
                const auto got = reader->read(piece);
                REQUIRE(got);
                if (*got == 0) break;
                samples.insert(samples.end(), piece.begin(), piece.begin() + static_cast<std::ptrdiff_t>(*got));
            }
            CHECK((samples == whole->samples));
        }
    }
}

TEST_CASE("a high sample rate and an odd one are kept") {
    need("sox");
    const Folder folder;
    for (const int rate : {11025, 96000, 192000}) {
        REQUIRE(run("sox -n -r " + std::to_string(rate) + " -c 1 " + folder / "r.flac" + " synth 1 sine 1000 gain -6"));
        const auto clip = read_clip(folder / "r.flac");
        REQUIRE(clip);
        CHECK(clip->sample_rate_hz == rate);
        CHECK(clip->samples.size() == static_cast<std::size_t>(rate));
    }
}
