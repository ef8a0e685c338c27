#include "window/drawing/brush.h"
#include "window/drawing/rung_drawing.h"
#include "window/panels/panels.h"

namespace tattletone::window {
namespace {

struct Title {
    Tab tab;
    const char* name;
    const char* help;
};
constexpr Title titles[] = {
    {Tab::tones, "Tones", "1: every tone that was found"},
    {Tab::history, "History", "2: the tones over time"},
    {Tab::follow, "Follow", "3: find the spot where one tone is loudest"},
    {Tab::recordings, "Recordings", "4: what the answer stands on"},
    {Tab::compare, "Before and after", "5: against an earlier session"},
};

void legend(const Shown& shown, const Brush& brush) {
    const Palette& c = brush.colours;
    struct Sample {
        RungState state;
        const char* words;
    };
    constexpr Sample samples[] = {{RungState::lit, "a tone is there"},
                                  {RungState::missing, "missing"},
                                  {RungState::taken, "someone else's"},
                                  {RungState::unseen, "hardly seen"}};
    ImDrawList* list = ImGui::GetWindowDrawList();
    const float unit = brush.unit;
    float width = 0.0f;
    for (const Sample& sample : samples)
        width += 1.7f * unit + brush.small->CalcTextSizeA(brush.small->FontSize, 1e9f, 0, sample.words).x;
    float x = shown.layout.tabs.right() - width;
    const float y = shown.layout.tabs.y + 0.4f * unit;
    if (x < shown.layout.tabs.x + 30.0f * unit) return;  // no room beside the tabs
    for (const Sample& sample : samples) {
        Rung rung;
        rung.state = sample.state;
        rung.probability = 1.0;
        draw_rung(list, rung, x, x + 0.25f * unit, x + 0.5f * unit, y, y + 0.9f * unit, 0.5f * unit, c, false);
        x += 0.8f * unit;
        list->AddText(brush.small, brush.small->FontSize, ImVec2(x, y), ink(c.faint_text), sample.words);
        x += 0.9f * unit + brush.small->CalcTextSizeA(brush.small->FontSize, 1e9f, 0, sample.words).x;
    }
}

}  // namespace

Requests tabs_panel(const Shown& shown, const ViewState& view, const Brush& brush) {
    Requests asked;
    begin_area("tabs", shown.layout.tabs, ImGuiWindowFlags_NoScrollbar);
    ImGui::SetCursorPosY(0.15f * brush.unit);
    bool first = true;
    for (const Title& title : titles) {
        if (!first) ImGui::SameLine();
        first = false;
        std::string label = title.name;
        if (title.tab == Tab::tones && !shown.tones.empty()) label += " " + std::to_string(shown.tones.size());
        label += std::string("###") + title.name;
        if (button(brush, label.c_str(), title.help, view.tab == title.tab)) asked.push_back(ask::ShowTab{title.tab});
        const ImVec2 low = ImGui::GetItemRectMin(), high = ImGui::GetItemRectMax();
        brush.places.note(std::string("tab ") + title.name, low.x, low.y, high.x - low.x, high.y - low.y);
    }
    legend(shown, brush);
    ImGui::EndChild();
    return asked;
}

}  // namespace tattletone::window
