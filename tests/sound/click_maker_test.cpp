#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <vector>

#include "sound/capture/click_synthesizer.h"
#include "support/names.h"

using namespace tattletone;

namespace {

/// Clicks begin where 2 ms of silence end.
int clicks_in(const std::vector<float>& samples, std::size_t silence) {
    int clicks = 0;
    std::size_t quiet = silence;
    for (const float sample : samples) {
        if (std::abs(sample) > 1e-4f) {
            clicks += quiet >= silence;
            quiet = 0;
        } else {
            ++quiet;
        }
    }
    return clicks;
}

std::vector<float> seconds_of(ClickSynthesizer& maker, double seconds) {
    std::vector<float> samples(static_cast<std::size_t>(48000 * seconds), 9.0f);
    for (std::size_t at = 0; at < samples.size(); at += 480) maker.fill(samples.data() + at, 480, 1);
    return samples;
}

}  // namespace

TEST_CASE("as many clicks a second as were asked for, and silence for none") {
    for (const double rate : {0.5, 2.0, 7.0, 30.0}) {
        ClickSynthesizer maker(48000.0);
        maker.set_rate(rate);
        CHECK(clicks_in(seconds_of(maker, 10.0), 96) == Approx(10.0 * rate).margin(1.0));
    }
    ClickSynthesizer maker(48000.0);
    for (const float sample : seconds_of(maker, 1.0)) REQUIRE(sample == 0.0f);
}

TEST_CASE("one click when it is asked for, and none after it") {
    ClickSynthesizer maker(48000.0);
    maker.click();
    CHECK(clicks_in(seconds_of(maker, 1.0), 96) == 1);
    CHECK(clicks_in(seconds_of(maker, 1.0), 96) == 0);
    maker.click();
    CHECK(clicks_in(seconds_of(maker, 1.0), 96) == 1);
}

TEST_CASE("a click is soft: a tenth of full scale at most, on every channel, whatever rate is set") {
    ClickSynthesizer maker(44100.0);
    maker.set_rate(1e9);
    std::vector<float> samples(2 * 44100);
    static_assert(noexcept(maker.fill(nullptr, 0, 1)));
    maker.fill(samples.data(), 44100, 2);
    float highest = 0.0f;
    for (std::size_t i = 0; i < samples.size(); i += 2) {
        highest = std::max(highest, std::abs(samples[i]));
        REQUIRE(samples[i] == samples[i + 1]);
    }
    CHECK(highest > 0.05f);
    CHECK(highest <= 0.1f);
}
