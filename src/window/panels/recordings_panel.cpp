#include "report/text/columns.h"
#include "report/words.h"
#include "window/drawing/brush.h"
#include "window/panels/panels.h"

namespace tattletone::window {
namespace {

void row(const Shown& shown, const ViewState& view, const session::SessionRecording& recording, const Brush& brush,
         Requests& asked) {
    ImGui::PushID(recording.id);
    ImGui::TableNextRow();
    ImGui::TableNextColumn();
    ImGui::AlignTextToFramePadding();
    ImGui::TextUnformatted(base::printable(recording.name).c_str());
    tip(recording.path.c_str());
    ImGui::TableNextColumn();
    role_list(shown, recording, brush, asked);
    ImGui::TableNextColumn();
    if (!recording.trouble.empty()) {
        ImGui::PushStyleColor(ImGuiCol_Text, ink4(brush.colours.trouble));
        ImGui::TextUnformatted(base::printable(recording.trouble).c_str());
        ImGui::PopStyleColor();
        tip(recording.trouble.c_str());
    } else if (!recording.picture) {
        const std::string percent = std::to_string(static_cast<int>(100 * recording.share)) + " %";
        ImGui::ProgressBar(static_cast<float>(recording.share), ImVec2(-1, 0), percent.c_str());
    } else {
        std::string text = recording.same_as.empty()
                               ? ""
                               : "not counted: the same sound as " + base::printable(recording.same_as) + ". ";
        text += std::to_string(recording.picture->found.tones.size()) + " tones, " +
                report::take_words(recording.picture->found);
        if (!recording.picture->found.notices.empty())
            text += ". " + base::printable(recording.picture->found.notices[0]);
        ImGui::TextUnformatted(text.c_str());
        tip(text.c_str());
    }
    ImGui::TableNextColumn();
    if (recording.picture) {
        const bool is_shown = view.shown_recording == recording.id;
        if (button(brush, "show##r", "its spectrum and history above", is_shown))
            asked.push_back(ask::ShowRecording{is_shown ? 0 : recording.id});
        ImGui::SameLine();
    }
    if (button(brush, "remove##r", "from this session; the file stays"))
        asked.push_back(ask::RemoveRecording{recording.id});
    ImGui::PopID();
}

}  // namespace

void role_list(const Shown& shown, const session::SessionRecording& recording, const Brush& brush, Requests& asked) {
    const std::string now = recording.room            ? "room, board off"
                            : recording.far           ? "from 60 cm"
                            : recording.state.empty() ? "state not said"
                                                      : base::printable(recording.state);
    ImGui::SetNextItemWidth(-1);
    if (!ImGui::BeginCombo("##role", now.c_str())) {
        note_item(brush, "role of " + recording.name);
        return;
    }
    if (list_line(brush, "state not said")) asked.push_back(ask::SetRole{recording.id, "", false});
    if (list_line(brush, "room, board off")) asked.push_back(ask::SetRole{recording.id, "", true});
    if (list_line(brush, "from 60 cm")) asked.push_back(ask::SetRole{recording.id, recording.state, false, true});
    if (shown.session->sheet)
        for (const std::string& state : shown.session->sheet->states)
            if (list_line(brush, base::printable(state))) asked.push_back(ask::SetRole{recording.id, state, false});
    ImGui::EndCombo();
}

Requests recordings_panel(const Shown& shown, const ViewState& view, const Brush& brush) {
    Requests asked;
    begin_area("recordings", shown.layout.lower);
    ImGui::Dummy(ImVec2(1, 0.1f * brush.unit));
    if (button(brush, "Add recordings ...", "Ctrl+O, or drop files on the window")) asked.push_back(ask::ShowOpen{});
    ImGui::SameLine();
    if (button(brush, "Add the room ...", "a recording of the same place with the board unpowered"))
        asked.push_back(ask::ShowOpen{false, true});
    ImGui::SameLine();
    if (button(brush, "Store in the logbook ...", "B: the recordings and findings, for a unit"))
        asked.push_back(ask::ShowStore{});
    if (shown.session->recordings.empty()) {
        ImGui::TextDisabled("No recording yet. What you record above is kept here, each in a file of its own.");
        ImGui::EndChild();
        return asked;
    }
    if (ImGui::BeginTable("recordings", 4,
                          ImGuiTableFlags_ScrollY | ImGuiTableFlags_RowBg | ImGuiTableFlags_PadOuterX)) {
        ImGui::TableSetupColumn("recording", ImGuiTableColumnFlags_WidthStretch, 1.0f);
        ImGui::TableSetupColumn("made in", ImGuiTableColumnFlags_WidthFixed, 11 * brush.unit);
        ImGui::TableSetupColumn("holds", ImGuiTableColumnFlags_WidthStretch, 1.6f);
        ImGui::TableSetupColumn("", ImGuiTableColumnFlags_WidthFixed, 8.5f * brush.unit);
        for (const session::SessionRecording& recording : shown.session->recordings)
            row(shown, view, recording, brush, asked);
        ImGui::EndTable();
    }
    ImGui::EndChild();
    return asked;
}

}  // namespace tattletone::window
