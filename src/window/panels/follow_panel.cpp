#include <algorithm>
#include <cmath>
#include <numeric>

#include <imgui.h>
#include <imgui_stdlib.h>

#include "base/text/number.h"
#include "report/text/columns.h"
#include "window/drawing/brush.h"
#include "window/panels/panels.h"

namespace tattletone::window {
namespace {

constexpr double widest_db = 30.0;

std::string signed_db(double db) {
    return (db >= 0 ? "+" : "") + base::fixed(db, 1) + " dB";
}

void no_tone(const Shown& shown, const Brush& brush, Requests& asked) {
    ImGui::Dummy(ImVec2(1, 0.4f * brush.unit));
    ImGui::TextWrapped(
        "Select a tone and follow it (F): then move the microphone, or a short tube in front of "
        "it, over the "
        "board. The level stands here in dB against where you began, and each spot can be named "
        "with one key.");
    if (shown.selected != nullptr && shown.session->live) {
        const std::string label = "Follow " + base::short_hz(shown.selected->tone.hz);
        if (button(brush, label.c_str(), "F")) asked.push_back(ask::FollowTone{shown.selected->tone.hz});
    } else {
        ImGui::TextDisabled(shown.session->live ? "No tone is selected."
                                                : "Following needs a microphone that listens.");
    }
}

/// A wide bar around the start, with the highest held.
void bar(const session::FollowMeter& meter, const Brush& brush, ImVec2 at, float width, float height) {
    ImDrawList* list = ImGui::GetWindowDrawList();
    const Palette& c = brush.colours;
    const auto x = [&](double db) {
        return at.x + static_cast<float>((std::clamp(db, -widest_db, widest_db) + widest_db) / (2 * widest_db)) * width;
    };
    list->AddRectFilled(at, ImVec2(at.x + width, at.y + height), ink(c.panel));
    for (double db = -20; db <= 20; db += 10) {
        list->AddLine(ImVec2(x(db), at.y), ImVec2(x(db), at.y + height), ink(c.grid), 1.0f);
        const std::string text = (db > 0 ? "+" : "") + base::fixed(db, 0);
        list->AddText(brush.small, brush.small->FontSize, ImVec2(x(db) + 2, at.y + height + 1), ink(c.faint_text),
                      text.c_str());
    }
    const double now = meter.db().value_or(0.0);
    list->AddRectFilled(ImVec2(std::min(x(0), x(now)), at.y + 0.15f * height),
                        ImVec2(std::max(x(0), x(now)), at.y + 0.85f * height), ink(now >= 0 ? c.board : c.other));
    list->AddLine(ImVec2(x(0), at.y), ImVec2(x(0), at.y + height), ink(c.text), 2.0f);
    if (meter.highest_db()) {
        const float top = x(*meter.highest_db());
        list->AddTriangleFilled(ImVec2(top - 5, at.y - 6), ImVec2(top + 5, at.y - 6), ImVec2(top, at.y), ink(c.text));
        list->AddLine(ImVec2(top, at.y), ImVec2(top, at.y + height), ink(c.text), 2.0f);
    }
    for (const session::FollowMeter::Spot& spot : meter.spots())
        list->AddCircle(ImVec2(x(spot.db), at.y + 0.5f * height), 4.0f, ink(c.text), 0, 1.5f);
}

void spots(const session::FollowMeter& meter, const Brush& brush, Requests& asked) {
    ImGui::SetNextItemWidth(9.0f * brush.unit);
    const bool entered = ImGui::InputTextWithHint("##spot", "name of the spot", &brush.drafts.spot,
                                                  ImGuiInputTextFlags_EnterReturnsTrue);
    note_item(brush, "Spot name");
    ImGui::SameLine();
    if (button(brush, "Keep this spot", "N: keeps the level of the last second under this name") || entered) {
        asked.push_back(ask::NameSpot{brush.drafts.spot});
        brush.drafts.spot.clear();
    }
    std::vector<std::size_t> order(meter.spots().size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t a, std::size_t b) { return meter.spots()[a].db > meter.spots()[b].db; });
    if (order.empty()) ImGui::TextDisabled("No spot yet.");
    for (const std::size_t index : order) {
        const session::FollowMeter::Spot& spot = meter.spots()[index];
        const bool loudest = static_cast<int>(index) == meter.loudest();
        ImGui::PushStyleColor(ImGuiCol_Text, ink4(loudest ? brush.colours.board : brush.colours.text));
        ImGui::Text("%s  %s%s", signed_db(spot.db).c_str(), base::printable(spot.name).c_str(),
                    loudest && order.size() > 1 ? "  (loudest)" : "");
        ImGui::PopStyleColor();
    }
}

}  // namespace

Requests follow_panel(const Shown& shown, const ViewState& view, const Brush& brush) {
    Requests asked;
    const Rect& rect = shown.layout.lower;
    begin_area("follow", rect);
    if (!view.follow) {
        no_tone(shown, brush, asked);
        ImGui::EndChild();
        return asked;
    }
    const session::FollowMeter& meter = *view.follow;
    const Palette& c = brush.colours;
    const float u = brush.unit, right_column = std::max(18.0f * u, 0.3f * rect.width);
    const ImVec2 at(rect.x, rect.y + 0.3f * u);
    ImDrawList* list = ImGui::GetWindowDrawList();
    const std::string big = meter.db() ? signed_db(*meter.db()) : "hold still";
    list->AddText(brush.huge, brush.huge->FontSize, at, ink(c.text), big.c_str());
    const float big_width = 8.0f * brush.huge->FontSize * 0.62f;
    float y = at.y + 0.1f * u;
    const float x = at.x + big_width, room = rect.width - right_column - big_width - u;
    text_within(brush, brush.text, ImVec2(x, y), room, c.text, "against the start, at " + base::short_hz(meter.hz()));
    if (meter.highest_db())
        text_within(brush, brush.text, ImVec2(x, y + 1.3f * u), room, c.text,
                    "highest " + signed_db(*meter.highest_db()));
    text_within(brush, brush.small, ImVec2(x, y + 2.6f * u), room, c.faint_text,
                base::fixed(meter.dbfs(), 1) + " dBFS now");
    bar(meter, brush, ImVec2(at.x, at.y + 4.3f * u), rect.width - right_column - u, 1.6f * u);
    ImGui::SetCursorScreenPos(ImVec2(at.x, at.y + 7.1f * u));
    if (button(brush, "Start anew", "Backspace: what is heard now is 0 dB")) asked.push_back(ask::RestartFollow{});
    ImGui::SameLine();
    if (button(brush, "Stop following", "Esc")) asked.push_back(ask::FollowTone{});
    ImGui::SameLine();
    const bool clicking = shown.session->clicking;
    if (button(brush, clicking ? "Clicks off" : "Clicks on",
               "C: clicks that grow faster with the level. Through headphones only: the microphone "
               "must not hear them.",
               clicking))
        asked.push_back(ask::Click{!clicking});
    ImGui::SameLine();
    if (!shown.session->live) ImGui::TextDisabled("Nothing is heard: choose a microphone.");
    ImGui::SetCursorScreenPos(ImVec2(rect.right() - right_column, at.y));
    ImGui::BeginChild("spots", ImVec2(right_column, rect.height - 0.6f * u));
    spots(meter, brush, asked);
    ImGui::EndChild();
    ImGui::EndChild();
    return asked;
}

}  // namespace tattletone::window
