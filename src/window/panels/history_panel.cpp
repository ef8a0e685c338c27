#include <algorithm>
#include <cmath>

#include <imgui.h>
#include <imgui_stdlib.h>

#include "base/text/number.h"
#include "report/text/columns.h"
#include "window/drawing/brush.h"
#include "window/panels/panels.h"

namespace tattletone::window {
namespace {

void controls(const Shown& shown, const ViewState& view, const Brush& brush, Requests& asked) {
    ImGui::SetCursorScreenPos(ImVec2(shown.layout.lower.x, shown.layout.lower.y + 0.4f * brush.unit));
    ImGui::BeginGroup();
    ImGui::PushFont(brush.small);
    if (button(brush, "spectrogram", "G: the sound itself behind the tones", view.spectrogram))
        asked.push_back(ask::SetSpectrogram{!view.spectrogram});
    if (shown.history_live) {
        for (const double seconds : {30.0, 60.0, 300.0, 600.0}) {
            const std::string label =
                (seconds < 100 ? base::fixed(seconds, 0) + " s" : base::fixed(seconds / 60, 0) + " min") + "##span";
            if (seconds != 30.0 && seconds != 300.0) ImGui::SameLine();
            if (button(brush, label.c_str(), "how far back", view.history_seconds == seconds))
                asked.push_back(ask::SetHistorySeconds{seconds});
        }
        if (button(brush, "mark this moment", "M: names a moment, such as 'lamp off'")) asked.push_back(ask::AddMark{});
    }
    if (view.mark_named >= 0 && view.mark_named < static_cast<int>(view.marks.size())) {
        ImGui::SetNextItemWidth(9.0f * brush.unit);
        if (brush.drafts.focus_mark) ImGui::SetKeyboardFocusHere();
        brush.drafts.focus_mark = false;
        const bool done = ImGui::InputTextWithHint("##mark", "what happened?", &brush.drafts.mark,
                                                   ImGuiInputTextFlags_EnterReturnsTrue);
        if (ImGui::IsItemActive()) note_item(brush, "Mark name");
        if (ImGui::IsItemEdited() || done) asked.push_back(ask::NameMark{view.mark_named, brush.drafts.mark, done});
    }
    ImGui::PopFont();
    ImGui::EndGroup();
}

}  // namespace

Requests history_panel(const Shown& shown, const ViewState& view, const Brush& brush) {
    Requests asked;
    const Rect& rect = shown.layout.lower;
    begin_area("history", rect, ImGuiWindowFlags_NoScrollbar | ImGuiWindowFlags_NoScrollWithMouse);
    ImDrawList* list = ImGui::GetWindowDrawList();
    const Palette& c = brush.colours;
    const float left = shown.layout.axis_left, width = shown.layout.axis_width;
    const ImVec2 low(left, rect.y + 0.2f * brush.unit), high(left + width, rect.bottom());
    const float height = high.y - low.y;
    const double span = std::max(1e-3, shown.history_to - shown.history_from);
    const auto x = [&](double hz) { return left + static_cast<float>(view.axis.share(hz)) * width; };
    const auto y = [&](double seconds) {
        return low.y + static_cast<float>((seconds - shown.history_from) / span) * height;
    };
    list->AddRectFilled(low, high, ink(c.panel, 0.7));
    list->PushClipRect(low, high, true);
    if (view.spectrogram && shown.spectrogram_texture != 0)
        list->AddImage(reinterpret_cast<ImTextureID>(shown.spectrogram_texture), low, high);
    const double step = span > 240 ? 60.0 : span > 45 ? 10.0 : span > 12 ? 5.0 : 1.0;
    for (double at = step * std::ceil(shown.history_from / step); at < shown.history_to; at += step) {
        list->AddLine(ImVec2(low.x, y(at)), ImVec2(high.x, y(at)), ink(c.grid, 0.8));
    }
    if (shown.tracks) {
        for (const session::ToneTrack& track : *shown.tracks) {
            const bool selected =
                shown.selected != nullptr && !track.points.empty() &&
                std::abs(track.last_hz() - shown.selected->tone.hz) <= std::max(1.0, 0.003 * shown.selected->tone.hz);
            const tones::UnitTone* known = tone_near(shown.session->findings.get(), track.last_hz());  // knows the room
            const bool board = (known ? known->tone.origin : track.origin) == tones::Origin::board;
            const ImU32 colour = ink(selected ? c.selected : board ? c.board : c.other);
            const float thick = selected ? 3.0f : board ? 2.0f : 1.0f;
            const tones::TonePoint* last = nullptr;
            for (const tones::TonePoint& point : track.points) {
                const ImVec2 at(x(point.hz), y(point.seconds));
                const bool joined = last != nullptr && point.seconds - last->seconds < 3.0;
                if (joined)
                    list->AddLine(ImVec2(x(last->hz), y(last->seconds)), at, colour, thick);
                else if (board)
                    list->AddCircleFilled(at, thick, colour);
                else
                    list->AddRectFilled(ImVec2(at.x - 1, at.y - 1), ImVec2(at.x + 1, at.y + 1), colour);
                last = &point;
            }
        }
    }
    for (double at = step * std::ceil(shown.history_from / step); at < shown.history_to; at += step) {
        const std::string words =
            shown.history_live ? base::fixed(shown.history_to - at, 0) + " s ago" : base::fixed(at, 0) + " s";
        const float size = brush.small->FontSize;
        const float wide = brush.small->CalcTextSizeA(size, 1e9f, 0, words.c_str()).x;
        list->AddRectFilled(ImVec2(low.x + 1, y(at)), ImVec2(low.x + wide + 6, y(at) + size), ink(c.ground, 0.85));
        list->AddText(brush.small, size, ImVec2(low.x + 3, y(at)), ink(c.text), words.c_str());
    }
    if (shown.history_live)
        for (const TimeMark& mark : view.marks) {
            const float at = y(mark.seconds);
            list->AddLine(ImVec2(low.x, at), ImVec2(high.x, at), ink(c.text), 1.5f);
            const std::string name = mark.name.empty() ? "(unnamed)" : base::printable(mark.name);
            brush.places.note("mark " + name, low.x, at, width, 2);
            list->AddText(brush.small, brush.small->FontSize, ImVec2(low.x + 0.5f * width, at - brush.small->FontSize),
                          ink(c.text), name.c_str());
        }
    list->PopClipRect();
    if (!shown.tracks || shown.tracks->empty())
        text_within(brush, brush.text, ImVec2(left + brush.unit, low.y + 0.4f * height), width, c.faint_text,
                    "Tones draw their paths here, time running down.");
    ImGui::SetCursorScreenPos(low);
    ImGui::InvisibleButton("axis", ImVec2(width, std::max(1.0f, height)));
    note_item(brush, "History");
    asked = axis_mouse(shown, view, brush, true);
    controls(shown, view, brush, asked);
    ImGui::EndChild();
    return asked;
}

}  // namespace tattletone::window
