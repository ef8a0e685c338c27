#include "window/drawing/brush.h"
#include "window/panels/panels.h"

namespace tattletone::window {
namespace {

Panel* panel_of(Tab tab) {
    switch (tab) {
        case Tab::tones:
            return tones_panel;
        case Tab::history:
            return history_panel;
        case Tab::follow:
            return follow_panel;
        case Tab::recordings:
            return recordings_panel;
        case Tab::compare:
            break;
    }
    return compare_panel;
}

Requests over_panel(const Shown& shown, const ViewState& view, const Brush& brush) {
    switch (view.over) {
        case Over::caution:
            return caution_panel(shown, view, brush);
        case Over::open:
            return open_panel(shown, view, brush);
        case Over::help:
            return help_panel(shown, view, brush);
        case Over::store:
            return store_panel(shown, view, brush);
        case Over::toggle:
            return toggle_panel(shown, view, brush);
        case Over::nothing:
            break;
    }
    return {};
}

}  // namespace

Requests draw_window(const Shown& shown, const ViewState& view, const Brush& brush) {
    Requests asked;
    const auto draw = [&](auto panel) {
        const Requests more = panel(shown, view, brush);
        asked.insert(asked.end(), more.begin(), more.end());
    };
    ImGui::SetNextWindowPos(ImVec2(0, 0));
    ImGui::SetNextWindowSize(ImGui::GetIO().DisplaySize);
    ImGui::Begin("tattletone", nullptr,
                 ImGuiWindowFlags_NoDecoration | ImGuiWindowFlags_NoMove |
                     ImGuiWindowFlags_NoBackground |  // the screen was cleared in its colour
                     ImGuiWindowFlags_NoSavedSettings | ImGuiWindowFlags_NoBringToFrontOnFocus |
                     ImGuiWindowFlags_NoScrollWithMouse);
    ImGui::BeginDisabled(view.over != Over::nothing);
    draw(bar_panel);
    draw(answer_panel);
    draw(steps_panel);
    draw(spectrum_panel);
    draw(start_panel);
    draw(ladders_panel);
    draw(tabs_panel);
    draw(panel_of(view.tab));
    ImGui::EndDisabled();
    ImGui::End();
    draw(over_panel);
    return asked;
}

}  // namespace tattletone::window
