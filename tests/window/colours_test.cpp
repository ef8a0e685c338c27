#include <catch2/catch.hpp>

#include "window/palette.h"

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
    for (const Look look : {Look::dark, Look::light})
        for (const auto seen : {without_red_cones, without_green_cones}) {
            const Palette& c = palette(look);
            CHECK(contrast(seen(c.lit), seen(c.ground)) >= 3.0);
            CHECK(contrast(seen(c.missing), seen(c.ground)) >= 3.0);
            CHECK(contrast(seen(c.trouble), seen(c.ground)) >= 3.0);
            CHECK(contrast(seen(c.board), seen(c.ground)) >= 3.0);
        }
}
