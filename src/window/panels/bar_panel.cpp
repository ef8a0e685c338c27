#include <algorithm>

#include "base/text/number.h"
#include "report/text/columns.h"
#include "window/drawing/brush.h"
#include "window/panels/panels.h"

namespace tattletone::window {
namespace {

constexpr double meter_low_dbfs = -90.0, meter_warn_dbfs = -6.0;

void board_menu(const Shown& shown, const Brush& brush, Requests& asked) {
    const session::SessionState& session = *shown.session;
    std::string label = "No board sheet";
    if (session.sheet)
        label = base::printable(session.sheet->name +
                                (session.sheet->revision.empty() ? "" : " " + session.sheet->revision));
    else if (!session.sheet_path.empty())
        label = "Sheet with errors";
    if (label.size() > 24) label = label.substr(0, 22) + "..";
    if (button(brush, ("Board: " + label + "###board").c_str(),
               session.sheet_path.empty() ? "The sheet that declares the board's parts and rates"
                                          : session.sheet_path.c_str()))
        ImGui::OpenPopup("board menu");
    if (!ImGui::BeginPopup("board menu")) return;
    if (menu_line(brush, "Open a board sheet ...", "Ctrl+O")) asked.push_back(ask::ShowOpen{});
    if (menu_line(brush, "Close the sheet", nullptr, false, !session.sheet_path.empty()))
        asked.push_back(ask::CloseSheet{});
    ImGui::Separator();
    if (menu_line(brush, "Play the demo", "F5")) asked.push_back(ask::StartDemo{});
    ImGui::EndPopup();
}

void microphone_menu(const Shown& shown, const ViewState& view, const Brush& brush, Requests& asked) {
    const session::SessionState& session = *shown.session;
    std::string label = "Choose a microphone";
    if (!session.device_awaited.empty()) label = "Waiting for " + base::printable(session.device_awaited);
    if (session.opening) label = "Opening ...";
    if (session.live) label = base::printable(session.live->device);
    ImGui::SetNextItemWidth(13.0f * brush.unit);
    const bool open = ImGui::BeginCombo("##microphone", label.c_str(), ImGuiComboFlags_HeightLarge);
    note_item(brush, "Microphone");
    if (!open) {
        tip("Which microphone listens. A new one shows up a moment after it is plugged in.");
        return;
    }
    if (ImGui::IsWindowAppearing()) asked.push_back(ask::ListDevices{});
    // What may still be added comes last, so that no line moves away under the mouse.
    if ((session.listening || !session.device_awaited.empty()) &&
        list_line(brush, session.listening ? "stop listening" : "do not wait for it"))
        asked.push_back(ask::StopListening{});
    if (session.live && !session.demo && list_line(brush, "look for new ones (listening begins anew)"))
        asked.push_back(ask::LookAgain{});
    if (!session.listening && session.device_awaited.empty() && !view.last_device.empty() &&
        list_line(brush, "as last time: " + base::printable(view.last_device)))
        asked.push_back(ask::Listen{view.last_device});
    if (list_line(brush, "the system's default")) asked.push_back(ask::Listen{});
    for (const sound::InputDevice& device : session.devices) {
        const std::string name = base::printable(device.name) + "##" + std::to_string(device.index);
        if (list_line(brush, name, session.live && session.live->device == device.name))
            asked.push_back(ask::Listen{device.name});
        tip(device.host_interface.c_str());
    }
    if (!session.devices_known) ImGui::TextDisabled("Asking the system ...");
    if (session.devices_known && session.devices.empty()) ImGui::TextDisabled("No microphone was found. Plug one in.");
    ImGui::EndCombo();
}

void meter(const Shown& shown, const Brush& brush) {
    const session::Snapshot& live = *shown.session->live;
    const Palette& c = brush.colours;
    const float width = 9.0f * brush.unit, height = ImGui::GetFrameHeight();
    const ImVec2 at = ImGui::GetCursorScreenPos();
    ImGui::Dummy(ImVec2(width + 5.2f * brush.unit, height));
    ImDrawList* list = ImGui::GetWindowDrawList();
    const auto x = [&](double dbfs) {
        const double share = std::clamp((dbfs - meter_low_dbfs) / -meter_low_dbfs, 0.0, 1.0);
        return at.x + static_cast<float>(share) * width;
    };
    const float top = at.y + 0.15f * height, bottom = at.y + 0.85f * height;
    list->AddRectFilled(ImVec2(at.x, top), ImVec2(at.x + width, bottom), ink(c.panel));
    const bool hot = live.level.clipping || live.level.peak_dbfs > meter_warn_dbfs;
    list->AddRectFilled(ImVec2(at.x, top), ImVec2(x(live.level.rms_dbfs), bottom), ink(hot ? c.trouble : c.good));
    const float peak = x(live.level.peak_dbfs);
    list->AddRectFilled(ImVec2(peak - 2, top), ImVec2(peak, bottom), ink(c.text));
    list->AddRect(ImVec2(at.x, top), ImVec2(at.x + width, bottom), ink(hot ? c.trouble : c.border));
    const std::string words = live.level.clipping            ? "clipping!"
                              : live.level.rms_dbfs < -300.0 ? "silence"
                                                             : base::fixed(live.level.rms_dbfs, 0) + " dBFS";
    brush.places.note("meter " + words, at.x, at.y, width, height);
    text_within(brush, brush.small,
                ImVec2(at.x + width + 0.4f * brush.unit, at.y + 0.5f * (height - brush.small->FontSize)),
                5.0f * brush.unit, hot ? c.trouble : c.text, words);
    tip("Level of the last half second; the line is the peak. At the right end the sound clips: "
        "turn "
        "the gain down or move away.");
}

void live_controls(const Shown& shown, const ViewState& view, const Brush& brush, Requests& asked) {
    const session::SessionState& session = *shown.session;
    if (!session.live) return;
    const bool paused = session.live->paused;
    ImGui::SameLine();
    if (button(brush, paused ? "Go on##pause" : "Pause##pause", "Space: hold the picture", paused))
        asked.push_back(ask::Pause{!paused});
    ImGui::SameLine();
    meter(shown, brush);
    ImGui::SameLine();
    const std::string keep = "Keep " + std::to_string(view.keep_seconds) + " s###keep";
    if (button(brush, keep.c_str(), "K: keep the last seconds as a recording of this session"))
        asked.push_back(ask::KeepPast{static_cast<double>(view.keep_seconds)});
    ImGui::SameLine(0, 0);
    if (ImGui::ArrowButton("keep how much", ImGuiDir_Down)) ImGui::OpenPopup("keep menu");
    note_item(brush, "How much to keep");
    tip("How many of the last seconds are kept");
    if (ImGui::BeginPopup("keep menu")) {
        for (const int seconds : keep_choices_seconds)
            if (menu_line(brush, ("the last " + std::to_string(seconds) + " s").c_str(), nullptr,
                          seconds == view.keep_seconds))
                asked.push_back(ask::SetKeepSeconds{seconds});
        ImGui::EndPopup();
    }
}

void right_side(const ViewState& view, const Brush& brush, Requests& asked) {
    const bool dark = view.look == Look::dark;
    const ImGuiStyle& style = ImGui::GetStyle();
    float width = 2 * style.ItemSpacing.x;
    for (const char* label : {"Save", dark ? "Light" : "Dark", "Keys"})
        width += ImGui::CalcTextSize(label).x + 2 * style.FramePadding.x;
    ImGui::SameLine(std::max(ImGui::GetCursorPosX(), ImGui::GetWindowWidth() - width));
    if (button(brush, "Save", "Picture, findings, a summary, or into the logbook")) ImGui::OpenPopup("save menu");
    if (ImGui::BeginPopup("save menu")) {
        if (menu_line(brush, "This view as a picture (PNG)", "Ctrl+S")) asked.push_back(ask::SavePicture{});
        if (menu_line(brush, "The findings (JSON)", "Ctrl+J")) asked.push_back(ask::SaveFindings{});
        if (menu_line(brush, "The measurement in the logbook ...", "B")) asked.push_back(ask::ShowStore{});
        if (menu_line(brush, "Copy a summary", "Ctrl+C")) asked.push_back(ask::CopySummary{});
        ImGui::Separator();
        ImGui::TextDisabled("in %s", view.save_folder.c_str());
        ImGui::EndPopup();
    }
    ImGui::SameLine();
    if (button(brush, dark ? "Light##look" : "Dark##look", "D: the other look"))
        asked.push_back(ask::SetLook{dark ? Look::light : Look::dark});
    ImGui::SameLine();
    if (button(brush, "Keys", "F1: every key, and what the marks mean")) asked.push_back(ask::ShowOver{Over::help});
}

}  // namespace

Requests bar_panel(const Shown& shown, const ViewState& view, const Brush& brush) {
    Requests asked;
    begin_area("bar", shown.layout.bar, ImGuiWindowFlags_NoScrollbar);
    board_menu(shown, brush, asked);
    ImGui::SameLine();
    if (button(brush, "Open", "Ctrl+O: a board sheet or recordings. They can be dropped on the window too."))
        asked.push_back(ask::ShowOpen{});
    ImGui::SameLine();
    microphone_menu(shown, view, brush, asked);
    live_controls(shown, view, brush, asked);
    right_side(view, brush, asked);
    ImGui::EndChild();
    return asked;
}

}  // namespace tattletone::window
