#include "window/drawing/rung_drawing.h"

#include <algorithm>

#include "base/text/number.h"
#include "report/words.h"

namespace tattletone::window {

void draw_rung(ImDrawList* list, const Rung& rung, float low, float mark, float high, float top, float bottom,
               float narrowest, const Palette& c, bool selected) {
    const float height = bottom - top;
    const auto box = [&](float least) {
        const float half = 0.5f * std::max(high - low, least), middle = 0.5f * (low + high);
        return std::pair(middle - half, middle + half);
    };
    switch (rung.state) {
        case RungState::range: {
            list->AddRectFilled(ImVec2(low, top), ImVec2(high, bottom), ink(c.raised, 0.55));
            for (const float x : {low, high}) list->AddLine(ImVec2(x, top), ImVec2(x, bottom), ink(c.dim), 2.0f);
            break;
        }
        case RungState::lit: {
            if (high - low > 2.0f * narrowest)
                list->AddRectFilled(ImVec2(low, top), ImVec2(high, bottom), ink(c.lit, 0.2));
            const float half = 0.5f * std::max(narrowest, 5.0f);
            const double strength = 0.4 + 0.6 * std::clamp(rung.probability, 0.0, 1.0);
            list->AddRectFilled(ImVec2(mark - half, top), ImVec2(mark + half, bottom), ink(c.lit, strength));
            if (selected)
                list->AddRect(ImVec2(mark - half - 2, top - 1), ImVec2(mark + half + 2, bottom + 1), ink(c.selected), 0,
                              0, 2.0f);
            break;
        }
        case RungState::taken: {
            const auto [from, to] = box(narrowest);
            list->AddRectFilled(ImVec2(from, bottom - 0.5f * height), ImVec2(to, bottom), ink(c.other, 0.7));
            break;
        }
        case RungState::missing: {
            const auto [from, to] = box(narrowest);
            if (to - from > 40.0f) {  // a wide window: its ends, and a line between
                list->AddRect(ImVec2(from, top), ImVec2(to, bottom), ink(c.missing, 0.6));
                break;
            }
            list->AddRect(ImVec2(from, top), ImVec2(to, bottom), ink(c.missing), 0, 0, 1.2f);
            if (to - from >= 5.0f) {
                list->AddLine(ImVec2(from, top), ImVec2(to, bottom), ink(c.missing), 1.2f);
                list->AddLine(ImVec2(from, bottom), ImVec2(to, top), ink(c.missing), 1.2f);
            }
            break;
        }
        case RungState::unseen: {
            const auto [from, to] = box(std::min(narrowest, 3.0f));
            list->AddRectFilled(ImVec2(from, bottom - 0.3f * height), ImVec2(to, bottom), ink(c.dim));
            break;
        }
        case RungState::outside:
            list->AddCircleFilled(ImVec2(mark, bottom - 2.0f), 1.5f, ink(c.dim));
            break;
    }
}

std::string rung_words(const Ladder& ladder, const Rung& rung) {
    match::Explanation line;
    line.rate = ladder.name;
    line.kind = rung.kind;
    line.order = rung.order;
    line.other = rung.other;
    if (rung.state == RungState::range)
        return ladder.name + " may be anywhere from " + base::short_hz(rung.low_hz) + " to " +
               base::short_hz(rung.high_hz);
    std::string text = report::explanation_words(line) + ", " + base::fixed(rung.hz, 2) + " Hz: ";
    switch (rung.state) {
        case RungState::lit:
            return text + "a tone is there, and it is this rate's with probability " +
                   report::probability_number(rung.probability);
        case RungState::taken:
            return text + "a tone is there, and something else explains it better";
        case RungState::missing:
            return text + "nothing is there, though it ought to have been seen";
        case RungState::unseen:
            return text + "nothing is there, and it would hardly have been seen";
        case RungState::outside:
            return text + "outside the band that these recordings can tell about";
        case RungState::range:
            break;
    }
    return text;
}

}  // namespace tattletone::window
