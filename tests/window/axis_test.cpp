#include <catch2/catch.hpp>
#include <cmath>
#include <random>

#include "support/names.h"
#include "window/drawing/frequency_axis.h"
#include "window/drawing/layout.h"

using namespace tattletone;

namespace {
constexpr AxisLimits limits{20.0, 24000.0};
}

TEST_CASE("octaves are equally wide by octaves, hertz evenly") {
    // An octave is a doubling (ISO 266 lists 125, 250, 500, 1000, 2000, 4000, 8000 Hz as octave centres).
    const FrequencyAxis by_octaves{125.0, 8000.0, true};
    const double centres[] = {125, 250, 500, 1000, 2000, 4000, 8000};
    for (int i = 0; i < 7; ++i) CHECK(by_octaves.share(centres[i]) == Approx(i / 6.0).margin(1e-12));
    const FrequencyAxis evenly{0.0, 8000.0, false};
    CHECK(evenly.share(2000.0) == Approx(0.25));
    CHECK(evenly.hz(0.75) == Approx(6000.0));
    CHECK(by_octaves.share(0.0) < 0.0);
    CHECK(by_octaves.share(-5.0) < 0.0);
}

TEST_CASE("position and frequency are inverses, zoom keeps what is under the mouse") {
    std::mt19937 random(41);
    std::uniform_real_distribution<double> unit(0.05, 0.95);
    for (int round = 0; round < 500; ++round) {
        const double low = 30.0 + 3000.0 * unit(random);
        const FrequencyAxis axis{low, low + 12000.0 * unit(random), round % 2 == 0};
        const double at = unit(random), hz = axis.hz(at);
        CHECK(axis.share(hz) == Approx(at).margin(1e-9));
        const FrequencyAxis closer = zoomed(axis, at, 1.7, limits);
        CHECK(closer.share(hz) == Approx(at).margin(1e-9));
        CHECK(closer.high_hz - closer.low_hz < axis.high_hz - axis.low_hz);
        const FrequencyAxis moved = panned(axis, 0.01, limits);
        CHECK(moved.share(hz) == Approx(at - 0.01).margin(1e-9));
    }
}

TEST_CASE("the axis never leaves its limits and never collapses") {
    std::mt19937 random(42);
    std::uniform_real_distribution<double> unit(0.0, 1.0);
    FrequencyAxis axis = whole(limits, true);
    for (int round = 0; round < 5000; ++round) {
        const double dice = unit(random);
        if (dice < 0.4)
            axis = zoomed(axis, unit(random), std::exp(4.0 * unit(random) - 1.5), limits);
        else if (dice < 0.7)
            axis = panned(axis, 3.0 * unit(random) - 1.5, limits);
        else if (dice < 0.8)
            axis = with_division(axis, !axis.logarithmic);
        else if (dice < 0.9)
            axis = around(axis, 24000.0 * unit(random), 10.0 * unit(random), limits);
        else
            axis = zoomed(axis, unit(random), 0.05, limits);
        REQUIRE(axis.low_hz >= limits.low_hz - 1e-9);
        REQUIRE(axis.high_hz <= limits.high_hz + 1e-9);
        REQUIRE(axis.high_hz - axis.low_hz >= 0.19);
    }
}

TEST_CASE("labelled ticks are round, inside, and far enough apart") {
    for (const bool logarithmic : {true, false})
        for (const FrequencyAxis& axis :
             {FrequencyAxis{100, 22000, logarithmic}, FrequencyAxis{3199.9, 3200.3, logarithmic},
              FrequencyAxis{9000, 11000, logarithmic}}) {
            double last = -1.0;
            int labelled = 0;
            for (const Tick& tick : ticks(axis, 0.08)) {
                if (tick.label.empty()) continue;
                ++labelled;
                const double share = axis.share(tick.hz);
                CHECK(share >= -1e-9);
                CHECK(share <= 1.0 + 1e-9);
                CHECK(share - last >= 0.079);
                last = share;
                CHECK(std::stod(tick.label) * (tick.label.find("kHz") != std::string::npos ? 1000.0 : 1.0) ==
                      Approx(tick.hz).epsilon(1e-9));
            }
            CHECK(labelled >= 2);
        }
}

TEST_CASE("everything has its place from 1024 x 640 up, one axis for all") {
    for (const auto& [width, height, unit] :
         {std::tuple{1024.0f, 640.0f, 15.0f}, {1280.0f, 800.0f, 15.0f}, {2560.0f, 1440.0f, 30.0f}}) {
        for (const bool told : {false, true}) {
            const Layout layout = layout_of(width, height, unit, told);
            const Rect* order[] = {&layout.bar,  &layout.answer,  &layout.steps, &layout.spectrum,
                                   &layout.axis, &layout.ladders, &layout.tabs,  &layout.lower};
            float bottom = 0.0f;
            for (const Rect* rect : order) {
                CHECK(rect->y >= bottom - 1.0f);
                CHECK(rect->height >= 1.4f * unit);
                CHECK(rect->right() <= width);
                bottom = rect->bottom();
            }
            CHECK(bottom <= height);
            CHECK(layout.spectrum.height >= 7.0f * unit);  // four levels and a mark
            CHECK(layout.ladders.height >= 7.5f * unit);   // the suspect and two more
            CHECK(layout.lower.height >= 6.0f * unit);
            CHECK(layout.axis_left + layout.axis_width <= width);
            CHECK(layout.answer.height >= (told ? 9.0f : 4.0f) * unit);
        }
    }
}
