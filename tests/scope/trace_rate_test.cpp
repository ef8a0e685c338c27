#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <tuple>
#include <vector>

#include "scope/trace_rate.h"
#include "support/names.h"
#include "support/random.h"

using namespace tattletone;

namespace {

constexpr double increment = 1e-6;

std::vector<float> dips(const std::vector<double>& at, double width, double edge, double seconds, double noise,
                        scenes::Random& random) {
    std::vector<float> values(static_cast<std::size_t>(seconds / increment));
    for (float& v : values) v = static_cast<float>(3.3 + noise * random.normal());
    for (const double middle : at)
        for (auto i = static_cast<long>((middle - width - edge) / increment);
             i < static_cast<long>((middle + width + edge) / increment); ++i) {
            if (i < 0 || i >= static_cast<long>(values.size())) continue;
            const double outside = std::abs(increment * static_cast<double>(i) - middle) - 0.5 * (width - edge);
            values[static_cast<std::size_t>(i)] -= static_cast<float>(0.3 * std::clamp(1.0 - outside / edge, 0.0, 1.0));
        }
    return values;
}

std::vector<double> train(double hz, double seconds) {
    std::vector<double> at;
    for (double t = 0.4 / hz; t < seconds; t += 1.0 / hz) at.push_back(t);
    return at;
}

}  // namespace

TEST_CASE("a dipping rail: everything that is told, worked by hand") {
    scenes::Random random(1);
    // 40 µs dips with 10 µs edges, 1 kHz, 100 ms: below half for 40 µs in 1000, below 3.06 V (4/5 of the depth) for 34
    // µs.
    const auto values = dips(train(1000.0, 0.1), 40e-6, 10e-6, 0.1, 0.0, random);
    const TraceShape shape = analyse_trace(values, increment, 0.0, 3.06);
    REQUIRE(shape.repetition);
    CHECK(shape.repetition->hz == Approx(1000.0).epsilon(1e-6));
    CHECK(shape.repetition->hz_sd > 0.0);
    CHECK(shape.repetition->hz_sd < 0.01);
    CHECK(shape.repetition->skipped == 0);
    CHECK(!shape.repetition->wanders);
    CHECK(shape.events.size() == 100);
    CHECK(shape.dips_down);
    CHECK(shape.minimum == Approx(3.0).margin(1e-4));
    CHECK(shape.maximum == Approx(3.3).margin(1e-4));
    CHECK(shape.mean == Approx(3.3 - 0.3 * 0.040).margin(1e-4));  // a trapezium's area is depth times width at half
    CHECK(shape.ripple == Approx(0.3).margin(1e-3));
    CHECK(shape.duty == Approx(0.040).margin(0.0015));
    CHECK(shape.below_share == Approx(0.034).margin(0.0015));
    CHECK(shape.longest_below_seconds == Approx(34e-6).margin(1.5e-6));
    CHECK(shape.times_below == 100);
}

TEST_CASE("a sine and a square wave have their rates, and what is upside down is pulses") {
    scenes::Random random(2);
    std::vector<float> sine, square, pulses;
    for (int i = 0; i < 40000; ++i) {
        const double phase = 2345.6 * increment * i;
        sine.push_back(static_cast<float>(std::sin(2.0 * std::numbers::pi * phase) + 0.02 * random.normal()));
        square.push_back(std::fmod(phase, 1.0) < 0.5 ? 1.0F : 0.0F);
        pulses.push_back(std::fmod(phase, 1.0) < 0.1 ? 3.0F : 0.0F);
    }
    for (const auto* values : {&sine, &square, &pulses}) {
        const TraceShape shape = analyse_trace(*values, increment, 0.0);
        REQUIRE(shape.repetition);
        CHECK(std::abs(shape.repetition->hz - 2345.6) < 4.0 * shape.repetition->hz_sd);
        CHECK(shape.repetition->hz_sd < 0.5);
    }
    CHECK(!analyse_trace(pulses, increment, 0.0).dips_down);
    CHECK(analyse_trace(pulses, increment, 0.0).duty == Approx(0.1).margin(0.003));
}

TEST_CASE("skipped dips leave the count, a coarse increment adds its uncertainty") {
    scenes::Random random(3);
    auto at = train(5000.0, 0.05);
    for (const std::size_t gone : {200u, 120u, 60u, 59u}) at.erase(at.begin() + gone);
    const auto values = dips(at, 30e-6, 8e-6, 0.05, 0.01, random);
    const TraceShape shape = analyse_trace(values, increment, 0.0);
    REQUIRE(shape.repetition);
    CHECK(shape.repetition->skipped == 4);
    CHECK(std::abs(shape.repetition->hz - 5000.0) < 4.0 * shape.repetition->hz_sd);
    const TraceShape coarse = analyse_trace(values, increment, 1e-3);
    CHECK(coarse.repetition->hz_sd == Approx(std::hypot(shape.repetition->hz_sd, 5.0)).epsilon(1e-6));
}

TEST_CASE("noise alone, a flat line, two dips and uneven dips have no rate") {
    scenes::Random random(4);
    int alarms = 0;
    for (int trial = 0; trial < 40; ++trial) {
        std::vector<float> noise(20000);
        for (float& v : noise) v = static_cast<float>(random.normal());
        alarms += analyse_trace(noise, increment, 0.0).repetition.has_value();
    }
    CHECK(alarms == 0);
    CHECK(!analyse_trace(std::vector<float>(1000, 3.3F), increment, 0.0).repetition);
    CHECK(!analyse_trace(std::vector<float>(3, 3.3F), increment, 0.0).repetition);
    CHECK(!analyse_trace(dips({0.002, 0.005}, 40e-6, 10e-6, 0.01, 0.005, random), increment, 0.0).repetition);
    std::vector<double> uneven;
    for (double t = 0.001; t < 0.1; t += random.uniform(2e-4, 2e-3)) uneven.push_back(t);
    const TraceShape shape = analyse_trace(dips(uneven, 40e-6, 10e-6, 0.1, 0.005, random), increment, 0.0);
    CHECK(!shape.repetition);
    CHECK(shape.events.size() > 50);
}

TEST_CASE("a rate that walks is as uncertain as it is") {
    // Each period is off by its own 1 %: the mean over the trace is the count over the time, and the straight
    // line through the events is off from the true mean by sqrt(6/5) of its spread.
    double square = 0.0;
    constexpr int trials = 60, count = 200;
    for (int trial = 0; trial < trials; ++trial) {
        scenes::Random random(100 + static_cast<unsigned>(trial));
        std::vector<double> at{1e-4};
        for (int i = 1; i < count; ++i) at.push_back(at.back() + 2e-4 * (1.0 + 0.01 * random.normal()));
        const TraceShape shape = analyse_trace(dips(at, 30e-6, 8e-6, at.back() + 1e-4, 0.003, random), increment, 0.0);
        REQUIRE(shape.repetition);
        square += std::pow((shape.repetition->hz - 5000.0) / shape.repetition->hz_sd, 2);
    }
    const double ratio = std::sqrt(square / trials);
    INFO("error over its stated uncertainty " << ratio);
    CHECK(ratio > 0.4);
    CHECK(ratio < 1.7);
}

TEST_CASE("too few samples a period give no rate") {
    scenes::Random random(11);
    // 0.2 of a period down. The second is folded: 9.6 kHz sampled at 13 kHz looks like 3.4 kHz.
    for (const auto& [hz, sampling, told] :
         {std::tuple{9600.0, 200e3, true}, {9600.0, 13e3, false}, {9600.0, 15e3, false}, {9600.0, 30e3, false}}) {
        INFO(hz << " Hz at " << sampling);
        std::vector<float> values(4000);
        for (std::size_t i = 0; i < values.size(); ++i) {
            const double phase = std::fmod(static_cast<double>(i) * hz / sampling + 0.37, 1.0);
            values[i] = static_cast<float>((phase < 0.2 ? 3.0 : 3.3) + 0.002 * random.normal());
        }
        const TraceShape shape = analyse_trace(values, 1.0 / sampling, 0.0);
        CHECK(shape.repetition.has_value() == told);
        if (told) CHECK(shape.repetition->hz == Approx(hz).epsilon(1e-4));
        CHECK((shape.coarse_hz > 0.0) == !told);
    }
}
