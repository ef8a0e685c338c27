#include <cmath>

#include "window/drawing/brush.h"
#include "window/panels/panels.h"

namespace tattletone::window {
namespace {

constexpr float click_reach = 9.0f;  // pixels
constexpr double wheel_zoom_step = 1.25;

}  // namespace

Requests axis_mouse(const Shown& shown, const ViewState& view, const Brush&, bool wheel) {
    Requests asked;
    const ImGuiIO& io = ImGui::GetIO();
    const float left = shown.layout.axis_left, width = shown.layout.axis_width;
    const double share = (io.MousePos.x - left) / width;
    const bool inside = share >= 0.0 && share <= 1.0;
    if (ImGui::IsItemHovered() && inside && io.MouseWheel != 0.0f && (wheel || io.KeyCtrl))
        asked.push_back(ask::SetAxis{zoomed(view.axis, share, std::pow(wheel_zoom_step, io.MouseWheel), shown.limits)});
    if (ImGui::IsItemHovered() && io.MouseWheelH != 0.0f)
        asked.push_back(ask::SetAxis{panned(view.axis, 0.1 * io.MouseWheelH, shown.limits)});
    if (ImGui::IsItemActive() && ImGui::IsMouseDragging(ImGuiMouseButton_Left, 4.0f) && io.MouseDelta.x != 0.0f)
        asked.push_back(ask::SetAxis{panned(view.axis, -io.MouseDelta.x / width, shown.limits)});
    if (ImGui::IsItemHovered() && ImGui::IsMouseDoubleClicked(ImGuiMouseButton_Left)) {
        asked.push_back(ask::ShowAll{});
        return asked;
    }
    const ImVec2 dragged = io.MouseClickedPos[0];
    const bool still = std::abs(io.MousePos.x - dragged.x) + std::abs(io.MousePos.y - dragged.y) < 5;
    if (ImGui::IsItemHovered() && inside && still && ImGui::IsMouseReleased(ImGuiMouseButton_Left)) {
        const tones::UnitTone* best = nullptr;
        float best_apart = click_reach;
        for (const tones::UnitTone* tone : shown.tones) {
            const float apart =
                std::abs(left + static_cast<float>(view.axis.share(tone->tone.hz)) * width - io.MousePos.x);
            if (apart >= best_apart) continue;
            best = tone;
            best_apart = apart;
        }
        asked.push_back(ask::SelectTone{best ? std::optional<double>(best->tone.hz) : std::nullopt});
    }
    return asked;
}

}  // namespace tattletone::window
