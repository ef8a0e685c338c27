#include "window/drawing/palette.h"

#include <algorithm>
#include <cmath>

namespace tattletone::window {
namespace {

constexpr Palette dark_palette = {
    .ground = {16, 20, 26},
    .panel = {24, 29, 37},
    .raised = {44, 53, 66},
    .border = {62, 72, 88},
    .grid = {42, 49, 60},
    .text = {232, 236, 241},
    .faint_text = {158, 169, 184},
    .curve = {126, 158, 184},
    .floor = {92, 106, 124},
    .ghost = {150, 120, 176},
    .board = {255, 190, 60},
    .other = {150, 176, 196},
    .lit = {255, 190, 60},
    .missing = {96, 150, 220},
    .dim = {78, 89, 105},
    .selected = {255, 255, 255},
    .good = {110, 200, 190},
    .warning = {255, 190, 60},
    .trouble = {255, 140, 105},
};

constexpr Palette light_palette = {
    .ground = {252, 251, 248},
    .panel = {241, 239, 233},
    .raised = {222, 219, 210},
    .border = {184, 180, 169},
    .grid = {226, 223, 215},
    .text = {28, 30, 34},
    .faint_text = {92, 95, 100},
    .curve = {88, 120, 150},
    .floor = {160, 164, 168},
    .ghost = {150, 105, 185},
    .board = {164, 78, 0},
    .other = {96, 116, 134},
    .lit = {196, 98, 0},
    .missing = {24, 92, 176},
    .dim = {176, 174, 166},
    .selected = {0, 0, 0},
    .good = {0, 112, 104},
    .warning = {156, 74, 0},
    .trouble = {176, 32, 16},
};

double linear(std::uint8_t value) {
    const double part = value / 255.0;
    return part <= 0.04045 ? part / 12.92 : std::pow((part + 0.055) / 1.055, 2.4);
}

std::uint8_t gamma(double value) {
    value = std::clamp(value, 0.0, 1.0);
    const double part = value <= 0.0031308 ? 12.92 * value : 1.055 * std::pow(value, 1.0 / 2.4) - 0.055;
    return static_cast<std::uint8_t>(std::lround(255.0 * part));
}

/// Red and green merge into one value; blue keeps a mixture with it (the paper's matrices).
Colour merged(Colour colour, double from_red, double from_green, double blue_share) {
    const double red = linear(colour.red), green = linear(colour.green), blue = linear(colour.blue);
    const double both = from_red * red + from_green * green;
    const double seen_blue = blue_share * red - blue_share * green + blue;
    return {gamma(both), gamma(both), gamma(seen_blue), colour.alpha};
}

}  // namespace

const Palette& palette(Look look) {
    return look == Look::dark ? dark_palette : light_palette;
}

Colour with_alpha(Colour colour, double alpha) {
    colour.alpha = static_cast<std::uint8_t>(std::lround(255.0 * std::clamp(alpha, 0.0, 1.0)));
    return colour;
}

double luminance(Colour colour) {
    return 0.2126 * linear(colour.red) + 0.7152 * linear(colour.green) + 0.0722 * linear(colour.blue);
}

double contrast(Colour a, Colour b) {
    const double one = luminance(a), two = luminance(b);
    return (std::max(one, two) + 0.05) / (std::min(one, two) + 0.05);
}

Colour without_red_cones(Colour colour) {
    return merged(colour, 0.11238, 0.88762, 0.00401);
}

Colour without_green_cones(Colour colour) {
    return merged(colour, 0.29275, 0.70725, -0.02234);
}

}  // namespace tattletone::window
