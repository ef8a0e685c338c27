// Referee of MODEL.md 26.

#include "match/comb/comb_score.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "match/cases.h"
#include "match/fine_noise.h"
#include "support/names.h"
#include "tones/find_tones.h"

using namespace tattletone;
using namespace tattletone::cases;

namespace {

Findings ask(const Board& board, std::vector<Take> takes) {
    return diagnose(&board.sheet(), unite(std::move(takes), nullptr));
}

}  // namespace

TEST_CASE("a comb's ratio has a mean of 1 in noise") {
    // E[LR] = 1 where the sound is what the ratio is against; heavy-tailed, so at faint levels only.
    double sum = 0.0;
    int count = 0;
    for (std::uint64_t seed = 1; seed <= 4; ++seed) {
        const CombScore score(with(noise_with(seed, 1000.0, 0.0)).found, {});
        for (int i = 0; i < 500; ++i, ++count) sum += std::exp(score.log_ratio(300.0 + 1.37 * i, {}));
    }
    CHECK(sum / count > 0.3);
    CHECK(sum / count < 1.5);
}

TEST_CASE("many lines count together, and only those of one deviation") {
    const Board board = Board().rate("frame", 400.0, 20000.0).rate("other", 1234.5, 50.0);
    const Findings findings = ask(board, {with(noise_with(1, 400.0 * 1.0107, 3.0, 1, 24))});
    CHECK(findings.verdict == Verdict::named);
    CHECK(probability(findings, "frame") > 0.9);
    CHECK(probability(findings, "other") < 0.1);
    REQUIRE(findings.combs.size() == 1);
    CHECK(findings.combs[0].hz == Approx(400.0 * 1.0107).epsilon(1e-5));
    CHECK(findings.combs[0].under_db > 3.0);
    CHECK_THAT(reasons(findings, "frame"), Catch::Matchers::Contains("stand out of the noise together"));
    // Every second line is missing: it is 800 Hz that sings.
    const Board doubled = Board().rate("half", 400.0, 100.0).rate("whole", 800.0, 100.0);
    const Findings told = ask(doubled, {with(noise_with(2, 800.0, 4.0))});
    CHECK(probability(told, "whole") > 0.9);
    CHECK(probability(told, "half") < 0.1);
}

TEST_CASE("noise alone and lines beside the rate name nobody") {
    const Board board = Board().rate("a", 400.0, 20000.0).rate("b", 1000.0, 100.0).rate("c", 31.25, 100.0);
    for (std::uint64_t seed = 10; seed < 16; ++seed) {
        INFO("seed " << seed);
        CHECK(ask(board, {with(noise_with(seed, 400.0, 0.0))}).verdict == Verdict::quiet);
        CHECK(probability(ask(board, {with(noise_with(seed, 1013.0, 4.0))}), "b") < 0.1);
    }
}

TEST_CASE("a comb adds over takes, and where the rate does not run it speaks against it") {
    const Board board = Board().states({"on", "off"}).rate("frame", 500.0, 100.0, Shape::pulse, {0});
    int one = 0, three = 0;
    for (std::uint64_t seed = 20; seed < 28; ++seed) {
        const auto faint = [&](std::uint64_t more) { return noise_with(seed + 100 * more, 500.0, 0.75); };
        one += probability(ask(board, {with(faint(1), {}, "on")}), "frame") >= 0.5;
        three += probability(ask(board, {with(faint(1), {}, "on"), with(faint(2), {}, "on"), with(faint(3), {}, "on")}),
                             "frame") >= 0.5;
    }
    CHECK(three > one);
    CHECK(three >= 4);
    const Findings on = ask(board, {with(noise_with(30, 500.0, 2.0), {}, "on")});
    CHECK(probability(on, "frame") > 0.9);
    // As loud in a state in which it does not run: something else is likelier than before.
    const auto here = noise_with(30, 500.0, 1.25), there = noise_with(31, 500.0, 1.25);
    const double once = probability(ask(board, {with(here, {}, "on")}), "frame");
    CHECK(probability(ask(board, {with(here, {}, "on"), with(there, {}, "on")}), "frame") > once);
    CHECK(probability(ask(board, {with(here, {}, "off")}), "frame") < once);
}

TEST_CASE("what is a tone already is no line of a comb") {
    const Board board = Board().rate("frame", 500.0, 100.0);
    std::vector<Tone> tones;
    for (int n = 1; n <= 40; ++n) tones.push_back(tone(500.0 * n, 12.0, Origin::room));
    CHECK(probability(ask(board, {with(noise_with(40, 500.0, 6.0), tones)}), "frame") < 0.1);
}

TEST_CASE("the segments of a longer recording add") {
    const Board board = Board().rate("frame", 500.0, 100.0).rate("other", 777.7, 100.0);
    int one = 0, three = 0;
    for (std::uint64_t seed = 60; seed < 68; ++seed) {
        const auto segment = [&](std::uint64_t more) { return noise_with(seed + 100 * more, 500.0, 0.75); };
        one += probability(ask(board, {with(segment(1))}), "frame") >= 0.5;
        const auto all = segment(1);
        all->later = {segment(2), segment(3)};
        const Findings findings = ask(board, {with(all)});
        three += probability(findings, "frame") >= 0.5;
        CHECK(probability(findings, "other") < 0.1);
        const auto noise = noise_with(seed, 500.0, 0.0);
        noise->later = {noise_with(seed + 500, 500.0, 0.0), noise_with(seed + 600, 500.0, 0.0)};
        CHECK(ask(board, {with(noise)}).verdict == Verdict::quiet);
    }
    CHECK(three > one);
    CHECK(three >= 4);
    // Strong ones too, whose lines of all segments count.
    const auto strong = noise_with(70, 500.0, 4.0);
    strong->later = {noise_with(71, 500.0, 4.0), noise_with(72, 500.0, 4.0)};
    CHECK(probability(ask(board, {with(strong)}), "frame") > 0.9);
}

TEST_CASE("a longer recording keeps the spectra of its first minute") {
    Recording recording;
    recording.sample_rate_hz = 8000.0;
    scenes::Random random(80);
    for (const double seconds : {15.0, 45.0, 130.0}) {
        recording.samples.resize(static_cast<std::size_t>(seconds * recording.sample_rate_hz));
        for (float& sample : recording.samples) sample = static_cast<float>(0.01 * random.normal());
        const Tones found = find_tones(recording);
        REQUIRE(found.fine);
        double covered = 0.5 / found.fine->step_hz;
        for (const auto& segment : found.fine->later) covered += 0.5 / segment->step_hz;
        INFO(seconds << " s, " << covered << " covered");
        CHECK(covered > std::min(seconds, 60.0) - 1.0);
        CHECK(covered < std::min(seconds, 60.0) + 31.0);
    }
}
