#pragma once

namespace tattletone::window {

struct Rect {
    float x = 0, y = 0, width = 0, height = 0;
    float right() const { return x + width; }
    float bottom() const { return y + height; }
};

/// Where things stand, in pixels. `gutter` is the column at the left in which names stand; the
/// frequency axis runs from `axis_left` for `axis_width` in spectrum, ladders and history alike.
struct Layout {
    Rect bar, answer, steps, spectrum, axis, ladders, tabs, lower;
    float axis_left = 0, axis_width = 1;
};

/// For 1024 × 640 and more at `scale` 1. `unit` is the height of a line of text.
/// `told`: there is an answer with its reasons, for which the card is higher.
Layout layout_of(float width, float height, float unit, bool told);

}  // namespace tattletone::window
