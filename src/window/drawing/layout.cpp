#include "window/drawing/layout.h"

#include <algorithm>
#include <cmath>

namespace tattletone::window {

Layout layout_of(float width, float height, float unit, bool told) {
    Layout layout;
    const float margin = std::round(0.6f * unit);
    const auto row = [&](float y, float rows) {
        return Rect{margin, std::round(y), width - 2 * margin, std::round(rows * unit)};
    };
    float y = 0.3f * unit;
    layout.bar = row(y, 2.0f);
    const float card_rows = told ? std::clamp(0.27f * height / unit, 9.0f, 13.0f) : 4.3f;
    layout.answer = row(layout.bar.bottom() + 0.2f * unit, card_rows);
    layout.steps = row(layout.answer.bottom(), 2.0f);
    y = layout.steps.bottom() + 0.2f * unit;
    const float axis = 1.5f * unit, tabs = 1.9f * unit;
    const float rest = height - y - axis - tabs - 0.4f * unit;
    layout.spectrum = row(y, 0.32f * rest / unit);
    layout.axis = row(layout.spectrum.bottom(), axis / unit);
    layout.ladders = row(layout.axis.bottom(), 0.36f * rest / unit);
    layout.tabs = row(layout.ladders.bottom() + 0.2f * unit, tabs / unit);
    layout.lower = row(layout.tabs.bottom(), 1.0f);
    layout.lower.height = height - layout.lower.y - 0.3f * unit;
    const float gutter = std::clamp(0.19f * width, 12.0f * unit, 17.0f * unit);
    layout.axis_left = std::round(margin + gutter);
    layout.axis_width = std::max(1.0f, std::floor(width - layout.axis_left - margin - 0.9f * unit));
    return layout;
}

}  // namespace tattletone::window
