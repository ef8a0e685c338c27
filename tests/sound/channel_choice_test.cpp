// Expected gains are statistics of the signals made here: the mean of two independent noises of
// equal power has half their power (3.01 dB).
#include "sound/clip/channel_choice.h"

#include <algorithm>
#include <random>

#include "clip_maker.h"
#include "sound/clip/clip_reader.h"
#include "support/names.h"

using tattletone::choose_channels;

namespace {

constexpr double rate_hz = 48000.0;
constexpr std::size_t count = 480000;

std::vector<float> noise(unsigned seed, float amplitude) {
    std::mt19937 engine(seed);
    std::normal_distribution<float> normal(0.0f, amplitude);
    std::vector<float> samples(count);
    for (float& sample : samples) sample = normal(engine);
    return samples;
}

std::vector<float> tone(double hz, float amplitude, double phase = 0.0) {
    std::vector<float> samples(count);
    for (std::size_t i = 0; i < count; ++i) {
        samples[i] = amplitude * static_cast<float>(
                                     std::sin(2.0 * std::numbers::pi * hz * static_cast<double>(i) / rate_hz + phase));
    }
    return samples;
}

std::vector<float> operator+(std::vector<float> a, const std::vector<float>& b) {
    std::transform(a.begin(), a.end(), b.begin(), a.begin(), std::plus<>());
    return a;
}

std::vector<float> operator*(float factor, std::vector<float> a) {
    for (float& sample : a) sample *= factor;
    return a;
}

std::vector<float> side_by_side(const std::vector<std::vector<float>>& channels) {
    std::vector<float> out(count * channels.size());
    for (std::size_t c = 0; c < channels.size(); ++c) {
        for (std::size_t i = 0; i < count; ++i) out[i * channels.size() + c] = channels[c][i];
    }
    return out;
}

tattletone::ChannelChoice choose(const std::vector<std::vector<float>>& channels) {
    auto choice = choose_channels(side_by_side(channels), channels.size(), rate_hz);
    INFO(choice.reason);
    CHECK_FALSE(choice.reason.empty());
    return choice;
}

using Weights = std::vector<float>;

}  // namespace

TEST_CASE("the same sound twice: the first") {
    const auto x = noise(1, 0.01f) + tone(9600.0, 0.01f);
    CHECK(choose({x, x}).weights == Weights{1, 0});
    CHECK(choose({x, x}).reason.find("the same") != std::string::npos);
}

TEST_CASE("a dead channel: the other") {
    const auto x = noise(1, 0.01f);
    CHECK(choose({std::vector<float>(count, 0.0f), x}).weights == Weights{0, 1});
    CHECK(choose({std::vector<float>(count, 0.02f), x}).weights == Weights{0, 1});  // nothing but an offset
    CHECK(choose({x, noise(2, 2e-5f)}).weights == Weights{1, 0});
    CHECK(choose({x, noise(2, 2e-5f)}).reason.find("silent") != std::string::npos);
}

TEST_CASE("independent noise and a common tone: the mean, 3 dB quieter") {
    const auto both = tone(9600.0, 0.01f);
    const auto choice = choose({noise(1, 0.01f) + both, noise(2, 0.01f) + both});
    CHECK(choice.weights == Weights{0.5f, 0.5f});
    CHECK(choice.reason.find("mean") != std::string::npos);
    CHECK(choice.reason.find("lowers the noise by") != std::string::npos);
    const double said = std::stod(choice.reason.substr(choice.reason.rfind("by ") + 3));
    CHECK(said == Approx(3.01).margin(0.5));
}

TEST_CASE("opposite pairs are never averaged") {
    const auto x = noise(1, 0.01f) + tone(9600.0, 0.01f);
    const auto exact = choose({x, -1.0f * x});
    CHECK(exact.weights == Weights{1, 0});
    CHECK(exact.reason.find("opposite") != std::string::npos);
    // A differential pair with noise of its own in each half: half the difference keeps the tone.
    const auto both = tone(9600.0, 0.01f);
    const auto pair = choose({noise(1, 0.01f) + both, noise(2, 0.01f) + -1.0f * both});
    CHECK(pair.weights == Weights{0.5f, -0.5f});
}

TEST_CASE("a tone that a mean would weaken forbids the mean") {
    // 120 degrees apart: the mean is 6 dB down, half the difference 1.25 dB: one channel is left.
    const auto choice = choose({noise(1, 0.01f) + tone(9600.0, 0.01f), noise(2, 0.01f) + tone(9600.0, 0.01f, 1.5708)});
    CHECK(choice.weights == Weights{1, 0});
}

TEST_CASE("without a common line nothing is mixed: the quieter channel") {
    const auto quieter = choose({noise(1, 0.01f), noise(2, 0.005f)});
    CHECK(quieter.weights == Weights{0, 1});
    CHECK(std::stod(quieter.reason.substr(quieter.reason.find("noise is ") + 9)) == Approx(6.02).margin(0.5));
    CHECK(choose({noise(1, 0.01f), noise(2, 0.0095f)}).weights == Weights{1, 0});
    CHECK(choose({noise(1, 0.01f), noise(2, 0.01f)}).weights == Weights{1, 0});
}

TEST_CASE("a quieter channel must not be one that is only turned down") {
    const auto both = tone(9600.0, 0.02f);
    const auto choice = choose({noise(1, 0.01f) + both, 0.3f * (noise(2, 0.02f) + both)});
    CHECK(choice.weights == Weights{1, 0});
}

TEST_CASE("bursts of speech do not decide: the floor does") {
    auto loud = noise(3, 0.2f);
    for (std::size_t i = 0; i < count; ++i) {
        if (i % 96000 > 24000) loud[i] = 0.0f;
    }
    const auto choice = choose({noise(1, 0.01f) + loud, noise(2, 0.005f) + loud});
    CHECK(choice.weights[0] == Approx(0.0f));
}

TEST_CASE("the choice holds for the whole clip and is told") {
    const clip_maker::Folder folder;
    clip_maker::Bytes samples;
    for (int i = 0; i < 48000 * 30; ++i) {
        samples.number(0, 2).raw(static_cast<std::int16_t>(i % 1000 - 500));
    }
    clip_maker::save(
        clip_maker::wav(clip_maker::plain_format(1, 2, 48000, 16) + clip_maker::data_part(samples.string())),
        folder / "two.wav");
    const auto clip = tattletone::read_clip(folder / "two.wav");
    REQUIRE(clip);
    CHECK(clip->channel_choice == "channel 2: the others are silent");
    REQUIRE(clip->samples.size() == 48000 * 30);
    for (int i = 0; i < 48000 * 30; ++i) {
        if (clip->samples[static_cast<std::size_t>(i)] != static_cast<float>(i % 1000 - 500) / 32768.0f) {
            FAIL("differs at " << i);
        }
    }
}
