#include <imgui.h>
#include <imgui_stdlib.h>
#include <algorithm>

#include "report/cautions.h"
#include "report/text/columns.h"
#include "window/drawing/brush.h"
#include "window/drawing/rung_drawing.h"
#include "window/keys.h"
#include "window/panels/panels.h"

namespace tattletone::window {

void begin_over(const char* name, const Brush& brush, float columns, float rows, const char* title) {
    const ImVec2 screen = ImGui::GetIO().DisplaySize;
    const ImVec2 size(std::min(columns * brush.unit, screen.x - 2 * brush.unit),
                      std::min(rows * brush.unit, screen.y - 2 * brush.unit));
    ImGui::GetForegroundDrawList();
    ImGui::SetNextWindowPos(ImVec2(0.5f * (screen.x - size.x), 0.5f * (screen.y - size.y)));
    ImGui::SetNextWindowSize(size);
    ImGui::PushStyleColor(ImGuiCol_WindowBg, ink4(brush.colours.panel));
    ImGui::PushStyleVar(ImGuiStyleVar_WindowBorderSize, 1.0f);
    ImGui::Begin(name, nullptr,
                 ImGuiWindowFlags_NoDecoration | ImGuiWindowFlags_NoMove | ImGuiWindowFlags_NoSavedSettings);
    ImGui::PopStyleVar();
    ImGui::PopStyleColor();
    heading(brush, title);
}

void heading(const Brush& brush, const char* text) {
    ImGui::PushFont(brush.large);
    ImGui::TextUnformatted(text);
    ImGui::PopFont();
}

namespace {

void point(const char* text) {
    ImGui::Bullet();
    ImGui::SameLine();
    ImGui::TextWrapped("%s", text);
}

}  // namespace

Requests start_panel(const Shown& shown, const ViewState& view, const Brush& brush) {
    Requests asked;
    const session::SessionState& session = *shown.session;
    if (session.live || session.opening || !session.recordings.empty()) return asked;
    const Rect& area = shown.layout.spectrum;
    Rect rect = area;
    rect.x = shown.layout.axis_left + 2.0f * brush.unit;
    rect.width = shown.layout.axis_width - 3.0f * brush.unit;
    rect.y = area.y + 0.8f * brush.unit;
    rect.height = area.height - 1.0f * brush.unit;
    begin_area("start", rect);
    heading(brush, session.sheet ? "Now let it be heard" : "Three steps");
    const char* sheet = session.sheet ? "1. The board sheet is open." : "1. Open the board's sheet (Ctrl+O).";
    ImGui::TextUnformatted(sheet);
    ImGui::TextUnformatted("2. Choose a microphone above, or drop recordings on this window.");
    ImGui::TextUnformatted("3. Hold the board two to five centimetres from the microphone.");
    ImGui::Dummy(ImVec2(1, 0.2f * brush.unit));
    if (button(brush, "Play the demo", "F5: a recording of a made-up board, as if it were live"))
        asked.push_back(ask::StartDemo{});
    ImGui::SameLine();
    if (!view.last_device.empty()) {
        const std::string label = "Listen with " + base::printable(view.last_device) + "##start";
        if (button(brush, label.c_str(), "the microphone of last time")) asked.push_back(ask::Listen{view.last_device});
        ImGui::SameLine();
    }
    if (button(brush, "Open files ...##start", "Ctrl+O")) asked.push_back(ask::ShowOpen{});
    ImGui::EndChild();
    return asked;
}

Requests caution_panel(const Shown&, const ViewState&, const Brush& brush) {
    Requests asked;
    begin_over("caution", brush, 52, 24, "Before the first board");
    ImGui::Separator();
    for (const char* caution : report::cautions) point(caution);
    ImGui::Dummy(ImVec2(1, 0.5f * brush.unit));
    if (button(brush, "Understood", "Enter")) asked.push_back(ask::AcceptCaution{});
    ImGui::SameLine();
    if (button(brush, "Understood, and play the demo", "F5: a recording of a made-up board, as if it were live")) {
        asked.push_back(ask::AcceptCaution{});
        asked.push_back(ask::StartDemo{});
    }
    ImGui::End();
    return asked;
}

Requests open_panel(const Shown&, const ViewState& view, const Brush& brush) {
    Requests asked;
    begin_over("open", brush, 56, 34,
               view.open_for_compare ? "Recordings from before"
               : view.open_as_room   ? "A recording of the room"
                                     : "Open a board sheet, recordings or a toggle plan");
    const auto open = [&](const std::string& path) {
        asked.push_back(ask::ShowOver{Over::nothing});  // before: a plan brings its own
        if (view.open_for_compare)
            asked.push_back(ask::Compare{{path}});
        else if (view.open_as_room)
            asked.push_back(ask::OpenRoom{path});
        else
            asked.push_back(ask::OpenPaths{{path}});
    };
    ImGui::SetNextItemWidth(-14.0f * brush.unit);
    if (brush.drafts.focus_path) ImGui::SetKeyboardFocusHere();
    brush.drafts.focus_path = false;
    const bool entered = ImGui::InputTextWithHint("##path", "a path, or choose below", &brush.drafts.path,
                                                  ImGuiInputTextFlags_EnterReturnsTrue);
    if (ImGui::IsItemActive()) note_item(brush, "Path");
    ImGui::SameLine();
    if ((button(brush, "Open##path", "Enter") || entered) && !brush.drafts.path.empty()) {
        open(brush.drafts.path);
        brush.drafts.path.clear();
    }
    ImGui::SameLine();
    if (button(brush, "Cancel", "Esc")) asked.push_back(ask::ShowOver{Over::nothing});
    ImGui::TextDisabled("%s", base::printable(view.folder.folder).c_str());
    if (!view.folder.trouble.empty()) ImGui::TextWrapped("%s", view.folder.trouble.c_str());
    ImGui::BeginChild("entries", ImVec2(0, 0), true);
    for (const FolderView::Entry& entry : view.folder.entries) {
        const std::string label = (entry.is_folder ? "> " : "   ") + base::printable(entry.name) + "##" + entry.name;
        const bool pressed = ImGui::Selectable(label.c_str());
        note_item(brush, "entry " + entry.name);
        if (!pressed) continue;
        const std::string path = view.folder.folder + "/" + entry.name;
        if (entry.is_folder)
            asked.push_back(ask::ShowFolder{path});
        else
            open(path);
    }
    if (view.folder.entries.empty()) ImGui::TextDisabled("Nothing here that could be opened.");
    ImGui::EndChild();
    ImGui::End();
    return asked;
}

Requests help_panel(const Shown&, const ViewState&, const Brush& brush) {
    Requests asked;
    begin_over("help", brush, 58, 30, "Keys and marks");
    if (ImGui::BeginTable("keys", 2)) {
        ImGui::TableSetupColumn("key", ImGuiTableColumnFlags_WidthFixed, 14 * brush.unit);
        for (const KeyLine& key : key_lines()) {
            ImGui::TableNextRow();
            ImGui::TableNextColumn();
            ImGui::TextUnformatted(key.key);
            ImGui::TableNextColumn();
            ImGui::TextUnformatted(key.does);
        }
        ImGui::EndTable();
    }
    ImGui::Separator();
    const auto tone = [&](tones::Origin origin, const char* words) {
        const ImVec2 at = ImGui::GetCursorScreenPos();
        tone_mark(ImGui::GetWindowDrawList(), ImVec2(at.x + 0.6f * brush.unit, at.y + 0.5f * brush.unit),
                  0.35f * brush.unit, origin, brush.colours, false);
        ImGui::Dummy(ImVec2(1.2f * brush.unit, brush.unit));
        ImGui::SameLine();
        ImGui::TextUnformatted(words);
    };
    tone(tones::Origin::board, "a tone of the board");
    ImGui::SameLine();
    tone(tones::Origin::room, "of the room");
    ImGui::SameLine();
    tone(tones::Origin::mains, "of the mains");
    ImGui::SameLine();
    tone(tones::Origin::unsure, "unsure");
    ImGui::TextWrapped(
        "Under the spectrum each rate has a ladder: a full block where it meets a tone, a crossed "
        "box "
        "where a tone ought to have been seen and is missing, a half block where the tone is "
        "explained "
        "better by something else, a stub where it would hardly have been seen, a dot outside the "
        "usable band. Hover over anything for words.");
    if (button(brush, "Close##help", "Esc")) asked.push_back(ask::ShowOver{Over::nothing});
    ImGui::End();
    return asked;
}

}  // namespace tattletone::window
