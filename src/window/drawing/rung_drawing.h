#pragma once

#include <string>

#include "window/drawing/brush.h"
#include "window/drawing/ladder_layout.h"

namespace tattletone::window {

/// One rung between `low` and `high` (pixels, the width of its tolerance) in a strip from `top` to
/// `bottom`; `narrowest` is the least width that it is drawn with. Each state has a shape of its
/// own: lit a full block; taken a half block; missing a hollow, crossed box; unseen a stub; outside
/// a dot.
void draw_rung(ImDrawList* list, const Rung& rung, float low, float mark, float high, float top, float bottom,
               float narrowest, const Palette& colours, bool selected);

/// For a tooltip.
std::string rung_words(const Ladder& ladder, const Rung& rung);

}  // namespace tattletone::window
