#include "tones/detect/condition.h"
#include "support/names.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <vector>

#include "made.h"

using namespace tattletone;
using made::mentions;

namespace {

constexpr double rate_hz = 48000.0;

/// A low-pass of 301 taps, sinc under a Hamming window: 6 dB down at `hz`, 50 dB within 260 Hz.
std::vector<float> low_passed(const std::vector<float>& in, double hz, double sample_rate_hz = rate_hz) {
    constexpr int half = 300;
    std::vector<float> taps(2 * half + 1);
    for (int i = -half; i <= half; ++i) {
        const double x = 2.0 * hz / sample_rate_hz * i;
        const double sinc = i == 0 ? 1.0 : std::sin(std::numbers::pi * x) / (std::numbers::pi * x);
        taps[static_cast<std::size_t>(i + half)] = static_cast<float>(
            2.0 * hz / sample_rate_hz * sinc * (0.54 + 0.46 * std::cos(std::numbers::pi * i / half)));
    }
    std::vector<float> out(in.size());
    for (std::size_t n = 0; n + taps.size() <= in.size(); ++n) {
        float sum = 0.0f;
        for (std::size_t i = 0; i < taps.size(); ++i) sum += taps[i] * in[n + i];
        out[n + half] = sum;
    }
    return out;
}

std::vector<float> sixteen_bits(std::vector<float> samples) {
    for (float& x : samples) x = std::round(x * 32768.0f) / 32768.0f;
    return samples;
}

Band band_of(const std::vector<float>& samples, double sample_rate_hz = rate_hz) {
    return usable_band(frame_spectra(samples, sample_rate_hz, 7200));
}

std::vector<std::string> notices_of(const std::vector<float>& samples, double sample_rate_hz = rate_hz) {
    ConditionMeter meter(sample_rate_hz);
    meter.add(samples);
    return meter.notices();
}

std::vector<float> noise(double seconds, double rms, std::uint64_t seed) {
    return made::white(static_cast<std::size_t>(seconds * rate_hz), rms, seed);
}

/// Noise whose level over time is a factor.
template <class Gain>
std::vector<float> shaped(double seconds, double rms, std::uint64_t seed, Gain gain) {
    auto samples = noise(seconds, rms, seed);
    for (std::size_t n = 0; n < samples.size(); ++n)
        samples[n] *= static_cast<float>(gain(static_cast<double>(n) / rate_hz));
    return samples;
}

}  // namespace

TEST_CASE("the usable band ends at the cliff of a telephone or codec") {
    // Narrow and wide speech bands of telephones 3.4 and 7 kHz (ITU-T G.712, G.722), codecs at low
    // bit rates 8 to 16 kHz (RFC 6716: 8 and 12 kHz).
    for (const double edge_hz : {3400.0, 7000.0, 8000.0, 12000.0, 16000.0}) {
        const auto seed = static_cast<std::uint64_t>(edge_hz);
        INFO("edge " << edge_hz << ", seed " << seed);
        const Band band = band_of(sixteen_bits(low_passed(noise(3.0, 0.05, seed), edge_hz)));
        CHECK(band.high_hz > edge_hz - 500.0);
        CHECK(band.high_hz < edge_hz + 300.0);
        CHECK(band.low_hz < 60.0);
    }
}

TEST_CASE("without a cliff the band is the microphone's") {
    CHECK(band_of(noise(3.0, 0.05, 1)).high_hz == Approx(20000.0));
    CHECK(band_of(noise(3.0, 0.05, 1)).low_hz == Approx(40.0));
    CHECK(band_of(made::white(24000, 0.05, 2), 8000.0).high_hz == Approx(0.98 * 4000.0));
    // A slope of 12 dB an octave from 2 kHz is no cliff.
    auto slope = noise(3.0, 0.05, 3);
    for (int pass = 0; pass < 2; ++pass) {
        float before = 0.0f;
        for (float& x : slope) x = before += 0.23f * (x - before);
    }
    CHECK(band_of(slope).high_hz == Approx(20000.0));
    // Nor is a strong tone, alone or above everything.
    auto tone = noise(3.0, 0.001, 4);
    made::add_tone(tone, rate_hz, 9000.0, 0.5);
    CHECK(band_of(tone).high_hz == Approx(20000.0));
}

TEST_CASE("a voice with pauses in a quiet room is no codec") {
    for (const std::uint64_t seed : {1u, 2u, 3u}) {
        INFO("seed " << seed);
        // Words of half a second below 3 kHz, 40 dB over the room, with pauses of a third.
        const auto voice = low_passed(noise(6.0, 0.3, seed), 3000.0);
        auto samples = noise(6.0, 0.0005, seed + 50);
        for (std::size_t n = 0; n < samples.size(); ++n) {
            const double t = static_cast<double>(n) / rate_hz;
            const double phase = t / 0.8 - std::floor(t / 0.8);
            if (phase < 0.6) samples[n] += static_cast<float>(voice[n] * std::sin(std::numbers::pi * phase / 0.6));
        }
        CHECK(band_of(samples).high_hz == Approx(20000.0));
    }
}

TEST_CASE("plain noise, loud or soft, gives no notice") {
    for (const double rms : {0.3, 0.05, 0.001, 0.00003}) {
        INFO("rms " << rms);
        CHECK(notices_of(noise(6.0, std::min(rms, 0.2), 5)).empty());
    }
    ConditionMeter nothing(rate_hz);
    CHECK(nothing.notices().empty());
    CHECK(nothing.silent());
}

TEST_CASE("clipping is told, a loud sound that does not clip is not") {
    auto loud = noise(5.0, 0.1, 6);
    made::add_tone(loud, rate_hz, 441.3, 0.5);
    ConditionMeter clean(rate_hz);
    clean.add(sixteen_bits(loud));
    CHECK(!clean.clipped());
    CHECK(clean.notices().empty());
    for (const double limit : {1.0, 0.8}) {  // a limiter before the converter clips below full scale
        auto clipped = noise(5.0, 0.1, 6);
        made::add_tone(clipped, rate_hz, 441.3, 1.3);
        for (float& x : clipped) x = std::clamp(x, static_cast<float>(-limit), static_cast<float>(limit));
        ConditionMeter meter(rate_hz);
        meter.add(sixteen_bits(clipped));
        INFO("limit " << limit);
        CHECK(meter.clipped());
        CHECK(mentions(meter.notices(), "clipped"));
    }
}

TEST_CASE("silence is told") {
    CHECK(mentions(notices_of(std::vector<float>(96000)), "silence"));
    auto nearly = sixteen_bits(noise(2.0, 0.3 / 32768.0, 7));
    CHECK(mentions(notices_of(nearly), "silence"));
}

TEST_CASE("drop-outs are told, with their length") {
    auto samples = noise(6.0, 0.05, 8);
    for (const double from : {1.0, 3.3, 4.0})
        std::fill_n(samples.begin() + static_cast<std::ptrdiff_t>(from * rate_hz), 2400, 0.0f);
    const auto notices = notices_of(samples);
    CHECK(mentions(notices, "drop-outs: 0.15 s"));
    CHECK(notices.size() == 1);
}

TEST_CASE("a suppressor that fades the noise in the first second is told") {
    const auto fading =
        shaped(8.0, 0.02, 9, [](double t) { return t < 1.0 ? 1.0 : std::max(0.1, 1.0 - 0.9 * (t - 1.0)); });
    const auto notices = notices_of(fading);
    CHECK(mentions(notices, "noise suppression"));
    CHECK(notices.size() == 1);
    // Sound that is merely loud at first, with quiet moments between, is not.
    const auto knocks = shaped(8.0, 0.02, 9, [](double t) { return t < 1.0 && std::fmod(t, 0.3) < 0.1 ? 10.0 : 1.0; });
    CHECK(notices_of(knocks).empty());
}

TEST_CASE("automatic gain is told") {
    const auto rising = shaped(9.0, 0.002, 10, [](double t) { return std::pow(10.0, t / 9.0); });
    const auto notices = notices_of(rising);
    CHECK(mentions(notices, "automatic gain"));
    CHECK(notices.size() == 1);
}

TEST_CASE("a gate that closes to digital silence is told") {
    auto gated = shaped(8.0, 0.02, 11, [](double t) { return std::fmod(t, 1.0) < 0.6 ? 1.0 : 0.0; });
    const auto notices = notices_of(gated);
    CHECK(mentions(notices, "gate"));
}

TEST_CASE("the verdict does not depend on how the samples are cut") {
    auto samples = noise(4.0, 0.05, 12);
    std::fill_n(samples.begin() + 48000, 4800, 0.0f);
    for (std::size_t n = 96000; n < 96500; ++n) samples[n] = 1.0f;
    const auto whole = notices_of(samples);
    REQUIRE(!whole.empty());
    ConditionMeter pieces(rate_hz);
    for (std::size_t at = 0; at < samples.size(); at += 1013)
        pieces.add(std::span(samples).subspan(at, std::min<std::size_t>(1013, samples.size() - at)));
    CHECK(pieces.notices() == whole);
}
