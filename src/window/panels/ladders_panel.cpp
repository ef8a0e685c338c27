#include <algorithm>
#include <cmath>

#include "report/text/columns.h"
#include "report/words.h"
#include "window/drawing/brush.h"
#include "window/drawing/rung_drawing.h"
#include "window/panels/panels.h"

namespace tattletone::window {
namespace {

float row_height(const Ladder& ladder, float unit) {
    return std::round((ladder.suspect ? 2.5f : 2.1f) * unit) + (ladder.cause.empty() ? 0.0f : std::round(0.95f * unit));
}

void name_column(const Ladder& ladder, const Brush& brush, ImVec2 at, float width, bool heard) {
    const Palette& c = brush.colours;
    const bool likely = ladder.probability >= 0.5;
    const float unit = brush.unit;
    text_within(brush, brush.text, ImVec2(at.x, at.y), width, ladder.suspect ? c.text : c.faint_text,
                base::printable(ladder.name));
    if (!heard) {
        text_within(brush, brush.small, ImVec2(at.x, at.y + 1.1f * unit), width, c.faint_text,
                    base::printable(ladder.part_name));
        return;
    }
    ImDrawList* list = ImGui::GetWindowDrawList();
    const float y = at.y + 1.25f * unit, high = 0.55f * unit, wide = 4.0f * unit;
    list->AddRect(ImVec2(at.x, y), ImVec2(at.x + wide, y + high), ink(c.border));
    list->AddRectFilled(ImVec2(at.x, y), ImVec2(at.x + static_cast<float>(ladder.probability) * wide, y + high),
                        ink(likely ? c.lit : c.other));
    const float room = width - wide - 0.4f * unit;
    std::string chance = ladder.suspect ? report::probability_number(ladder.probability) : "under 0.01";
    const std::string longer = chance + " " + report::probability_word(ladder.probability);
    if (ladder.suspect && brush.small->CalcTextSizeA(brush.small->FontSize, 1e9f, 0, longer.c_str()).x <= room)
        chance = longer;
    text_within(brush, brush.small, ImVec2(at.x + wide + 0.4f * unit, at.y + 1.08f * unit), width - wide - 0.4f * unit,
                likely ? c.text : c.faint_text, chance);
}

/// Least width of a rung, so that neighbours do not run together.
float narrowest_for(const std::vector<Rung>& rungs, const ViewState& view, float width) {
    float least = 8.0f, last = -100.0f;
    for (const Rung& rung : rungs) {
        const auto share = view.axis.share(rung.hz);
        if (share < 0.0 || share > 1.0 || rung.state == RungState::range) continue;
        const float x = static_cast<float>(share) * width;
        if (x - last > 0.5f) least = std::min(least, 0.75f * (x - last));
        last = x;
    }
    return std::max(least, 2.0f);
}

const Rung* strip(const Shown& shown, const ViewState& view, const Brush& brush, const Ladder& ladder, float top,
                  float bottom) {
    ImDrawList* list = ImGui::GetWindowDrawList();
    const float left = shown.layout.axis_left, width = shown.layout.axis_width;
    const auto x = [&](double hz) {
        return left + static_cast<float>(std::clamp(view.axis.share(hz), -1.0, 2.0)) * width;
    };
    const bool chosen = ladder.name == view.selected_rate;
    list->AddRectFilled(ImVec2(left, top), ImVec2(left + width, bottom),
                        ink(chosen ? brush.colours.raised : brush.colours.panel, chosen ? 0.9 : 0.7));
    const float narrowest = narrowest_for(ladder.rungs, view, width);
    list->PushClipRect(ImVec2(left, top - 1), ImVec2(left + width, bottom + 1), true);
    const Rung* hovered = nullptr;
    const ImVec2 mouse = ImGui::GetIO().MousePos;
    // Lit ones last, so that nothing hides them.
    for (const bool lit : {false, true})
        for (const Rung& rung : ladder.rungs) {
            if ((rung.state == RungState::lit) != lit) continue;
            const float low = x(rung.low_hz), high = x(rung.high_hz);
            if (high < left - 4 || low > left + width + 4) continue;
            const bool selected = shown.selected != nullptr && rung.tone == shown.selected->id;
            draw_rung(list, rung, low, x(rung.hz), high, top + 1, bottom - 1, narrowest, brush.colours, selected);
            const float reach = std::max(3.0f, 0.5f * narrowest);
            if (mouse.y >= top && mouse.y <= bottom && mouse.x >= std::min(low, x(rung.hz)) - reach &&
                mouse.x <= std::max(high, x(rung.hz)) + reach && (rung.state != RungState::range || hovered == nullptr))
                hovered = &rung;
        }
    list->PopClipRect();
    return hovered;
}

void nothing_to_show(const Shown& shown, const Brush& brush) {
    const Rect& rect = shown.layout.ladders;
    const std::string text = !shown.session->sheet_errors.empty()
                                 ? "The ladders appear when the board sheet has no errors."
                                 : "Open a board sheet: each of its rates gets a ladder here, with a rung "
                                   "at every frequency at which it could be heard.";
    text_within(brush, brush.text, ImVec2(shown.layout.axis_left + brush.unit, rect.y + 0.4f * rect.height),
                shown.layout.axis_width - 2 * brush.unit, brush.colours.faint_text, text);
}

void selection_line(const Shown& shown, const ViewState& view, const Brush& brush) {
    if (shown.selected == nullptr) return;
    const double share = view.axis.share(shown.selected->tone.hz);
    if (share < 0.0 || share > 1.0) return;
    const float x = shown.layout.axis_left + static_cast<float>(share) * shown.layout.axis_width;
    const Rect& rect = shown.layout.ladders;
    ImGui::GetWindowDrawList()->AddLine(ImVec2(x, rect.y), ImVec2(x, rect.bottom()), ink(brush.colours.selected, 0.45));
}

}  // namespace

Requests ladders_panel(const Shown& shown, const ViewState& view, const Brush& brush) {
    Requests asked;
    const Rect& rect = shown.layout.ladders;
    const bool over_axis = ImGui::GetIO().MousePos.x >= shown.layout.axis_left;
    const bool zooming = over_axis && ImGui::GetIO().KeyCtrl;
    begin_area("ladders", rect, zooming ? ImGuiWindowFlags_NoScrollWithMouse : 0);
    if (shown.ladders.empty()) nothing_to_show(shown, brush);
    const bool heard = shown.session->findings != nullptr;
    const float unit = brush.unit, left = shown.layout.axis_left;
    for (const Ladder& ladder : shown.ladders) {
        ImGui::PushID(ladder.rate);
        const ImVec2 at = ImGui::GetCursorScreenPos();
        const float height = row_height(ladder, unit);
        const float gap = 0.2f * unit;
        const float strip_bottom = at.y + (ladder.suspect ? 1.55f : 1.35f) * unit;
        ImGui::InvisibleButton("row", ImVec2(rect.width - unit, height));
        const bool hovered_row = ImGui::IsItemHovered();
        brush.places.note("ladder " + ladder.name, at.x, at.y, rect.width, height);
        if (hovered_row && !over_axis && ImGui::IsItemClicked())
            asked.push_back(ask::SelectRate{ladder.name == view.selected_rate ? "" : ladder.name});
        Requests more = axis_mouse(shown, view, brush, false);
        if (over_axis) asked.insert(asked.end(), more.begin(), more.end());
        name_column(ladder, brush, ImVec2(at.x + 0.2f * unit, at.y), left - at.x - unit, heard);
        const Rung* rung = strip(shown, view, brush, ladder, at.y + 1, strip_bottom);
        const std::string line = heard && !ladder.reason.empty() ? ladder.reason : ladder.facts;
        text_within(brush, brush.small, ImVec2(left, strip_bottom + 1), shown.layout.axis_width,
                    ladder.suspect ? brush.colours.text : brush.colours.faint_text, line);
        const std::string why = ladder.cause.empty() ? "" : "Why it sings: " + ladder.cause;
        if (!why.empty()) {
            const float y = strip_bottom + 1 + 0.95f * unit;
            text_within(brush, brush.small, ImVec2(left, y), shown.layout.axis_width, brush.colours.text,
                        base::printable(why));
            brush.places.note("why " + ladder.name + ": " + ladder.cause, left, y, shown.layout.axis_width, unit);
        }
        if (hovered_row) {
            std::string words = rung != nullptr && over_axis ? rung_words(ladder, *rung) : "";
            if (words.empty()) {
                words = base::printable(ladder.name) + ", " + base::printable(ladder.part_name) + "\n" + ladder.facts;
                for (const std::string& reason : ladder.reasons) words += "\n- " + reason;
                if (!why.empty()) words += "\n" + base::printable(why);
            }
            ImGui::BeginTooltip();
            ImGui::PushTextWrapPos(30.0f * ImGui::GetFontSize());
            ImGui::TextUnformatted(words.c_str());
            ImGui::PopTextWrapPos();
            ImGui::EndTooltip();
        }
        ImGui::SetCursorScreenPos(ImVec2(at.x, at.y + height + gap));
        ImGui::PopID();
    }
    if (!shown.ladders.empty()) ImGui::Dummy(ImVec2(1, 1));
    selection_line(shown, view, brush);
    ImGui::EndChild();
    return asked;
}

}  // namespace tattletone::window
