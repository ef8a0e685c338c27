#include "window/drawing/gl_picture.h"

#include <algorithm>
#include <cmath>

#include <GLFW/glfw3.h>

namespace tattletone::window {
namespace {

#ifndef GL_CLAMP_TO_EDGE
constexpr int GL_CLAMP_TO_EDGE = 0x812F;
#endif

constexpr int most_rows = 400;

/// From the panel's colour over the curve's to the text's: lightness alone tells the strength.
Colour colour_of(std::uint8_t strength, const Palette& c) {
    const auto mix = [](std::uint8_t a, std::uint8_t b, double share) {
        return static_cast<std::uint8_t>(std::lround(a + (b - a) * share));
    };
    const double share = strength / 255.0;
    const Colour& from = share < 0.6 ? c.panel : c.curve;
    const Colour& to = share < 0.6 ? c.curve : c.text;
    const double part = share < 0.6 ? share / 0.6 : (share - 0.6) / 0.4;
    return {mix(from.red, to.red, part), mix(from.green, to.green, part), mix(from.blue, to.blue, part)};
}

double floor_of(const Shown& shown) {
    if (!shown.floor || shown.floor->floor.empty()) return -125.0;
    std::vector<double> noise;
    for (const tones::FloorPoint& point : shown.floor->floor) noise.push_back(point.noise_dbfs_per_hz);
    std::nth_element(noise.begin(), noise.begin() + static_cast<std::ptrdiff_t>(noise.size() / 2), noise.end());
    return noise[noise.size() / 2] - 3.0;
}

}  // namespace

SpectrogramTexture::~SpectrogramTexture() {
    if (id_ != 0) glDeleteTextures(1, &id_);
}

std::uintptr_t SpectrogramTexture::update(const Shown& shown, const ViewState& view) {
    if (!shown.spectrogram || !view.spectrogram || view.tab != Tab::history) return 0;
    const int width = static_cast<int>(shown.layout.axis_width);
    const int height = std::clamp(static_cast<int>(shown.layout.lower.height), 1, most_rows);
    const bool same = made_of_ == shown.spectrogram && axis_ == view.axis && look_ == view.look && width_ == width &&
                      height_ == height && from_ == shown.history_from && to_ == shown.history_to;
    if (same && id_ != 0) return id_;
    made_of_ = shown.spectrogram;
    axis_ = view.axis;
    look_ = view.look;
    width_ = width;
    height_ = height;
    from_ = shown.history_from;
    to_ = shown.history_to;
    const std::vector<std::uint8_t> strengths =
        spectrogram_picture(*made_of_, axis_, width, height, from_, to_, floor_of(shown));
    std::vector<std::uint8_t> rgba;
    rgba.reserve(4 * strengths.size());
    for (const std::uint8_t strength : strengths) {
        const Colour colour = colour_of(strength, palette(look_));
        rgba.insert(rgba.end(), {colour.red, colour.green, colour.blue, 255});
    }
    if (id_ == 0) glGenTextures(1, &id_);
    glBindTexture(GL_TEXTURE_2D, id_);
    glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_MIN_FILTER, GL_NEAREST);
    glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_MAG_FILTER, GL_NEAREST);
    glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_WRAP_S, GL_CLAMP_TO_EDGE);
    glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_WRAP_T, GL_CLAMP_TO_EDGE);
    glPixelStorei(GL_UNPACK_ALIGNMENT, 1);
    glTexImage2D(GL_TEXTURE_2D, 0, GL_RGBA, width, height, 0, GL_RGBA, GL_UNSIGNED_BYTE, rgba.data());
    return id_;
}

}  // namespace tattletone::window
