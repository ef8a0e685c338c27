#pragma once

#include <array>
#include <cstdint>

namespace tattletone::window {

enum class Look { dark, light };

struct Colour {
    std::uint8_t red = 0, green = 0, blue = 0, alpha = 255;
};

/// Every colour of the window. What must be told apart differs in lightness too, and in shape where
/// it is drawn (the tests check the contrast, also as seen without red or without green cones).
struct Palette {
    Colour ground, panel, raised, border, grid;
    Colour text, faint_text;
    Colour curve, floor, ghost;
    Colour board, other;  ///< tones of the board; of the room, the mains, or unsure
    Colour lit, missing, dim;
    Colour selected;
    Colour good, warning, trouble;
};

const Palette& palette(Look look);
Colour with_alpha(Colour colour, double alpha);

/// WCAG 2.1 relative luminance and contrast ratio (1 to 21).
double luminance(Colour colour);
double contrast(Colour a, Colour b);

/// As seen with one kind of cones missing: Viénot, Brettel and Mollon, "Digital video colourmaps
/// for checking the legibility of displays by dichromats", Color Res. Appl. 24(4), 1999.
Colour without_red_cones(Colour colour);
Colour without_green_cones(Colour colour);

}  // namespace tattletone::window
