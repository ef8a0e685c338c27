#include <catch2/catch.hpp>

#include "support/names.h"
#include "window/drawing/palette.h"

using namespace tattletone;

TEST_CASE("contrast as WCAG 2.1 has it") {
    const Colour black{0, 0, 0}, white{255, 255, 255};
    CHECK(contrast(black, white) == Approx(21.0));
    CHECK(contrast(white, white) == Approx(1.0));
    // Understanding WCAG 2.1, SC 1.4.3: #767676 is the lightest grey on white that passes 4.5:1; #777777 fails.
    CHECK(contrast({0x76, 0x76, 0x76}, white) >= 4.5);
    CHECK(contrast({0x77, 0x77, 0x77}, white) < 4.5);
}

TEST_CASE("both looks can be read: 4.5:1 for text (SC 1.4.3), 3:1 for marks (SC 1.4.11)") {
    for (const Look look : {Look::dark, Look::light}) {
        const Palette& c = palette(look);
        INFO((look == Look::dark ? "dark" : "light"));
        for (const Colour& ground : {c.ground, c.panel}) {
            CHECK(contrast(c.text, ground) >= 7.0);
            CHECK(contrast(c.faint_text, ground) >= 4.5);
            CHECK(contrast(c.trouble, ground) >= 4.5);
            CHECK(contrast(c.good, ground) >= 3.0);
            for (const Colour& mark : {c.board, c.other, c.lit, c.missing, c.selected, c.curve})
                CHECK(contrast(mark, ground) >= 3.0);
        }
    }
}

TEST_CASE("greys stay as they are without red or green cones, and red and green merge") {
    // Vienot, Brettel, Mollon 1999: the dichromat's colours keep the achromatic axis.
    for (const int grey : {0, 90, 200, 255}) {
        const auto g = static_cast<std::uint8_t>(grey);
        for (const Colour& seen : {without_red_cones({g, g, g}), without_green_cones({g, g, g})}) {
            CHECK(static_cast<int>(seen.red) == Approx(grey).margin(2));
            CHECK(static_cast<int>(seen.blue) == Approx(grey).margin(3));
        }
    }
    // Colours that differ in the light for one kind of cone only, and how he who lacks it sees both: computed with
    // NumPy from the paper's matrices (RGB to the cones' light, and what replaces the missing one), which are from
    // memory.
    struct Confused {
        Colour (*seen)(Colour);
        Colour one, other, both;
    };
    for (const Confused& c : {Confused{without_red_cones, {30, 160, 120}, {212, 142, 119}, {152, 152, 120}},
                              Confused{without_green_cones, {220, 60, 120}, {122, 140, 115}, {135, 135, 115}}})
        for (const Colour& colour : {c.one, c.other}) {
            CHECK(static_cast<int>(c.seen(colour).red) == Approx(static_cast<int>(c.both.red)).margin(1));
            CHECK(static_cast<int>(c.seen(colour).green) == Approx(static_cast<int>(c.both.green)).margin(1));
            CHECK(static_cast<int>(c.seen(colour).blue) == Approx(static_cast<int>(c.both.blue)).margin(1));
        }
    for (const Look look : {Look::dark, Look::light})
        for (const auto seen : {without_red_cones, without_green_cones}) {
            const Palette& c = palette(look);
            CHECK(contrast(seen(c.lit), seen(c.ground)) >= 3.0);
            CHECK(contrast(seen(c.missing), seen(c.ground)) >= 3.0);
            CHECK(contrast(seen(c.trouble), seen(c.ground)) >= 3.0);
            CHECK(contrast(seen(c.board), seen(c.ground)) >= 3.0);
        }
}
