#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <random>

#include "board/confusable.h"
#include "board/lines.h"
#include "board/sheet/sheet_reader.h"
#include "support/names.h"

using namespace tattletone;

namespace {

BoardSheet sheet_of(const std::string& rates, const std::string& states = "") {
    const auto reading = parse_sheet("[board]\nname = \"B\"\n" + states + "\n[[part]]\nid = \"p\"\n" + rates, "s");
    for (const auto& error : reading.errors) UNSCOPED_INFO(to_sentence(to_error(error)));
    REQUIRE(reading.sheet);
    return *reading.sheet;
}

std::string rate(const std::string& id, const std::string& lines) {
    return "[[part.rate]]\nid = \"" + id + "\"\n" + lines + "\n";
}

std::vector<Line> of_kind(const std::vector<Line>& lines, LineKind kind) {
    std::vector<Line> chosen;
    std::copy_if(lines.begin(), lines.end(), std::back_inserter(chosen),
                 [&](const Line& line) { return line.kind == kind; });
    return chosen;
}

}  // namespace

// Sampling theorem: r = f mod fs, then the nearer of r and fs - r. The worked values are those of
// rows 6.2-6.4 of the collected check values, computed there from the theorem, not by this program.
TEST_CASE("fold puts a frequency where an ideal sampler does") {
    constexpr double folds[][3] = {{25000, 48000, 23000},  {31372.549, 48000, 16627.451}, {62500, 48000, 14500},
                                   {64000, 48000, 16000},  {100000, 48000, 4000},         {128205, 48000, 15795},
                                   {500000, 48000, 20000}, {25000, 44100, 19100},         {40000, 44100, 4100},
                                   {20000, 16000, 4000},   {9000, 16000, 7000},           {64000, 44100, 19900},
                                   {1000, 48000, 1000},    {-1000, 48000, 1000},          {1000, 0, 1000}};
    for (const auto& [hz, sample_rate_hz, heard_hz] : folds) {
        INFO(hz << " Hz at " << sample_rate_hz);
        CHECK(fold(hz, sample_rate_hz) == Approx(heard_hz));
    }
}

TEST_CASE("harmonics stand at multiples with the declared window") {
    const BoardSheet sheet = sheet_of(rate("r", "hz = 9600\ntolerance_ppm = 50"));
    const auto lines = lines_of(sheet, 0, {});
    const auto harmonics = of_kind(lines, LineKind::harmonic);
    REQUIRE(harmonics.size() == 2);
    CHECK(harmonics[1].order == 2);
    CHECK(harmonics[1].nominal_hz == Approx(19200));
    CHECK(harmonics[1].low_hz == Approx(19200 - 0.96));
    CHECK(harmonics[1].high_hz == Approx(19200 + 0.96));
    const auto halves = of_kind(lines, LineKind::subharmonic);
    REQUIRE(halves.size() == 2);  // 4800 and 14400; the fifth half stands at 24000
    CHECK(halves[0].nominal_hz == Approx(4800));
    CHECK(halves[1].order == 3);
    CHECK(of_kind(lines, LineKind::image).empty());
    CHECK(lines.size() == 4);
}

TEST_CASE("a wandering rate has ranges, with the nominal at the geometric mean") {
    const BoardSheet sheet = sheet_of(rate("r", "hz_min = 2000\nhz_max = 8000"));
    const auto harmonics = of_kind(lines_of(sheet, 0, {}), LineKind::harmonic);
    REQUIRE(harmonics.size() == 10);
    CHECK(harmonics[0].nominal_hz == Approx(4000));
    CHECK(harmonics[2].low_hz == Approx(6000));
    CHECK(harmonics[2].high_hz == Approx(24000));
}

TEST_CASE("sidebands come from slow fixed rates only") {
    const BoardSheet sheet =
        sheet_of(rate("a", "hz = 9600\ntolerance_ppm = 10") + rate("b", "hz = 60\ntolerance_ppm = 1000") +
                 rate("c", "hz = 3000") + rate("d", "hz_min = 50\nhz_max = 70"));
    const auto bands = of_kind(lines_of(sheet, 0, {}), LineKind::sideband);
    REQUIRE(bands.size() == 8);  // two harmonics in band, orders -2, -1, 1, 2
    for (const Line& line : bands) CHECK(line.other == 1);
    CHECK(bands[0].order == -2);
    CHECK(bands[0].nominal_hz == Approx(9480));
    CHECK(bands[0].low_hz == Approx(9480 - 0.096 - 0.12));
    CHECK(bands[0].high_hz == Approx(9480 + 0.096 + 0.12));
}

TEST_CASE("images fold at the sample rate and are not told without one") {
    const BoardSheet sheet = sheet_of(rate("r", "hz = 64000\ntolerance_ppm = 100"));
    CHECK(of_kind(lines_of(sheet, 0, {}), LineKind::image).empty());
    LineLimits limits;
    limits.sample_rate_hz = 48000;
    const auto images = of_kind(lines_of(sheet, 0, limits), LineKind::image);
    REQUIRE(images.size() == 1);  // 128 kHz lies above twice the sample rate
    CHECK(images[0].nominal_hz == Approx(16000));
    CHECK(images[0].low_hz == Approx(16000 - 6.4));
    CHECK(images[0].high_hz == Approx(16000 + 6.4));
}

TEST_CASE("beats join two inaudible rates") {
    const BoardSheet sheet = sheet_of(rate("a", "hz = 500000\ntolerance_ppm = 10") +
                                      rate("b", "hz = 503000\ntolerance_ppm = 10") + rate("c", "hz = 1000"));
    const auto beats = of_kind(lines_of(sheet, 0, {}), LineKind::beat);
    REQUIRE(beats.size() == 4);
    CHECK(beats[0].nominal_hz == Approx(3000));
    CHECK(beats[0].low_hz == Approx(3000 - 10.03));
    CHECK(beats[0].high_hz == Approx(3000 + 10.03));
    CHECK(beats[3].nominal_hz == Approx(12000));
    CHECK(of_kind(lines_of(sheet, 2, {}), LineKind::beat).empty());
}

// The property that the header promises: whatever values two rates take within their limits, the
// formula's frequency lies in the line's window.
TEST_CASE("every line's window holds what the formula gives for any permitted rates") {
    const unsigned seed = 20260;
    INFO("seed " << seed);
    std::mt19937 random(seed);
    std::uniform_real_distribution<double> uniform(0.0, 1.0);
    for (int trial = 0; trial < 60; ++trial) {
        std::string rates;
        const int count = 2 + trial % 5;
        for (int i = 0; i < count; ++i) {
            const double hz = 20.0 * std::pow(10.0, 4.8 * uniform(random));
            const std::string id = "r" + std::to_string(i);
            if (uniform(random) < 0.2)
                rates += rate(id, "hz_min = " + std::to_string(hz) +
                                      "\nhz_max = " + std::to_string(hz * (1.1 + 4.0 * uniform(random))));
            else
                rates += rate(id, "hz = " + std::to_string(hz) + "\ntolerance_ppm = " +
                                      std::to_string(std::pow(10.0, 1.0 + 4.0 * uniform(random))));
        }
        const BoardSheet sheet = sheet_of(rates);
        LineLimits limits;
        limits.sample_rate_hz = trial % 2 == 0 ? 48000 : 44100;
        for (int own = 0; own < count; ++own) {
            for (const Line& line : lines_of(sheet, own, limits)) {
                CHECK(line.rate == own);
                CHECK(line.low_hz <= line.nominal_hz * (1 + 1e-12));
                CHECK(line.high_hz >= line.nominal_hz * (1 - 1e-12));
                CHECK(line.low_hz <= 20000.0);
                CHECK(line.high_hz >= 40.0);
                const auto value = [&](int index) {
                    const Rate& r = sheet.rates[static_cast<std::size_t>(index)];
                    return r.lowest_hz() + (r.highest_hz() - r.lowest_hz()) * uniform(random);
                };
                double hz = line.own_multiple * value(own);
                if (line.other >= 0) hz += line.other_multiple * value(line.other);
                hz = std::abs(hz);
                if (line.kind == LineKind::image) hz = fold(hz, limits.sample_rate_hz);
                CHECK(hz >= line.low_hz * (1 - 1e-12));
                CHECK(hz <= line.high_hz * (1 + 1e-12));
            }
        }
    }
}

TEST_CASE("rates that could pass for one another, and what tells them apart") {
    const auto pairs_of = [](const std::string& rates, const std::string& states = "") {
        return confusable_pairs(sheet_of(rates, states), {});
    };
    SECTION("the same rate twice: only a state tells") {
        const auto pairs = pairs_of(rate("a", "hz = 1000\nactive_in = [\"on\"]") + rate("b", "hz = 1000.05"),
                                    "states = [\"on\", \"off\"]");
        REQUIRE(pairs.size() == 1);
        CHECK(pairs[0].multiple == 1);
        CHECK(pairs[0].at_hz == Approx(1000).epsilon(1e-4));
        CHECK_FALSE(pairs[0].line);
        CHECK(pairs[0].states == std::vector<int>{1});
    }
    SECTION("a rate and its third harmonic: the fundamental tells") {
        const auto pairs = pairs_of(rate("low", "hz = 3200\ntolerance_percent = 1") + rate("high", "hz = 9600"));
        REQUIRE(pairs.size() == 1);
        CHECK(pairs[0].rate == 1);
        CHECK(pairs[0].other == 0);
        CHECK(pairs[0].multiple == 3);
        REQUIRE(pairs[0].line);
        CHECK(pairs[0].line->rate == 0);
        CHECK(pairs[0].line->order == 1);
        CHECK(pairs[0].line->low_hz == Approx(3199.68));
        CHECK(pairs[0].line->high_hz == Approx(3200.32));
    }
    SECTION("a fundamental below the band tells nothing: the next line does") {
        const auto pairs = pairs_of(rate("low", "hz = 30") + rate("high", "hz = 90"));
        REQUIRE(pairs.size() == 1);
        REQUIRE(pairs[0].line);
        CHECK(pairs[0].line->order == 2);
    }
    SECTION("shape is the weaker witness") {
        const auto pairs = pairs_of(rate("a", "hz = 1000\nshape = \"square\"") + rate("b", "hz = 1000"));
        REQUIRE(pairs.size() == 1);
        REQUIRE(pairs[0].line);
        CHECK(pairs[0].line->rate == 1);
        CHECK(pairs[0].line->order == 2);
        CHECK(pairs[0].line->by_shape);
    }
    SECTION("drift tells a wandering rate from a fixed one") {
        const auto pairs = pairs_of(rate("a", "hz_min = 2000\nhz_max = 20000") + rate("b", "hz = 9600"));
        REQUIRE(pairs.size() == 1);
        CHECK(pairs[0].by_drift);
        CHECK(pairs[0].multiple == 1);
        CHECK_FALSE(pairs[0].line);
    }
    SECTION("rates out of reach of each other, or inaudible, are no pair") {
        CHECK(pairs_of(rate("a", "hz = 1000") + rate("b", "hz = 1001")).empty());
        CHECK(pairs_of(rate("a", "hz = 1000") + rate("b", "hz = 1500")).empty());
        CHECK(pairs_of(rate("a", "hz = 500000") + rate("b", "hz = 500000")).empty());
    }
}
