#include <algorithm>
#include <cstdlib>

#include <imgui.h>
#include <imgui_stdlib.h>

#include "report/text/columns.h"
#include "window/drawing/brush.h"
#include "window/panels/panels.h"

namespace tattletone::window {
namespace {

std::string unit_words(const logbook::Unit& unit) {
    std::string text = "unit " + unit.serial + "   " + unit.board + (unit.revision.empty() ? "" : " " + unit.revision);
    if (!unit.batch.empty()) text += ", batch " + unit.batch;
    if (!unit.firmware.empty()) text += ", firmware " + unit.firmware;
    text += unit.measurements == 0 ? ": not measured yet" : ": " + unit.answer;
    return base::printable(text);
}

/// The units whose serial holds what is typed, and the one that is it.
struct Chosen {
    std::vector<const logbook::Unit*> shown;
    const logbook::Unit* exact = nullptr;
};

Chosen choose(const std::vector<logbook::Unit>& units, const std::string& typed) {
    Chosen chosen;
    for (const logbook::Unit& unit : units) {
        if (unit.serial == typed) chosen.exact = &unit;
        if (unit.serial.find(typed) != std::string::npos) chosen.shown.push_back(&unit);
    }
    if (chosen.exact != nullptr) chosen.shown = {chosen.exact};
    return chosen;
}

void field(const Brush& brush, const char* name, const char* hint, std::string& text, float columns) {
    ImGui::AlignTextToFramePadding();
    ImGui::TextUnformatted(name);
    ImGui::SameLine(7.0f * brush.unit);
    ImGui::SetNextItemWidth(columns * brush.unit);
    ImGui::InputTextWithHint((std::string("##store") + name).c_str(), hint, &text);
    note_item(brush, std::string("field ") + name);
}

void unit_list(const Chosen& chosen, const session::SessionState& session, const Brush& brush) {
    ImGui::BeginChild("units", ImVec2(0, 9.0f * brush.unit), true);
    if (!session.logbook_trouble.empty())
        ImGui::TextWrapped("%s", base::printable(session.logbook_trouble).c_str());
    else if (!session.units)
        ImGui::TextDisabled("Looking into the logbook ...");
    else if (session.units->empty())
        ImGui::TextDisabled("The logbook has no unit yet.");
    else if (chosen.shown.empty())
        ImGui::TextDisabled("No unit with such a serial.");
    ImGuiListClipper clipper;
    clipper.Begin(static_cast<int>(chosen.shown.size()));
    while (clipper.Step())
        for (int i = clipper.DisplayStart; i < clipper.DisplayEnd; ++i) {
            const logbook::Unit& unit = *chosen.shown[static_cast<std::size_t>(i)];
            if (ImGui::Selectable((unit_words(unit) + "##" + unit.id).c_str())) brush.drafts.store.serial = unit.serial;
            note_item(brush, "unit " + unit.serial);
        }
    ImGui::EndChild();
}

/// Of each recording the state and the spot. True: there is one to store.
bool recordings(const Shown& shown, const Brush& brush, Requests& asked) {
    int takes = 0;
    ImGui::BeginChild("takes", ImVec2(0, 5.5f * brush.unit), true);
    if (ImGui::BeginTable("takes", 3)) {
        ImGui::TableSetupColumn("recording", ImGuiTableColumnFlags_WidthStretch);
        ImGui::TableSetupColumn("made in", ImGuiTableColumnFlags_WidthFixed, 11 * brush.unit);
        ImGui::TableSetupColumn("spot", ImGuiTableColumnFlags_WidthFixed, 16 * brush.unit);
        for (const session::SessionRecording& recording : shown.session->recordings) {
            if (!recording.picture) continue;
            takes += !recording.room && !recording.far;
            ImGui::PushID(recording.id);
            ImGui::TableNextColumn();
            ImGui::AlignTextToFramePadding();
            ImGui::TextUnformatted(base::printable(recording.name).c_str());
            ImGui::TableNextColumn();
            role_list(shown, recording, brush, asked);
            ImGui::TableNextColumn();
            if (!recording.room) {
                ImGui::SetNextItemWidth(-1);
                std::string spot = recording.spot;
                ImGui::InputTextWithHint("##spot", "spot on the board", &spot);
                note_item(brush, "spot of " + recording.name);
                if (ImGui::IsItemEdited()) asked.push_back(ask::SetSpot{recording.id, spot});
            }
            ImGui::PopID();
        }
        ImGui::EndTable();
    }
    if (takes == 0) ImGui::TextDisabled("Nothing of the board is kept yet: record a state, or press K.");
    ImGui::EndChild();
    return takes > 0;
}

/// Why it cannot be stored as it stands; empty where it can.
std::string obstacle(const session::SessionState& session, const StoreDraft& draft, const Chosen& chosen, bool any_take,
                     const std::optional<double>& distance) {
    if (!any_take) return "There is nothing to store yet.";
    if (draft.serial.empty()) return "Which unit is it? Type its serial, or choose one above.";
    if (!draft.distance.empty() && !distance) return "The distance must be a number of cm.";
    if (chosen.exact == nullptr && !session.sheet) return "A new unit needs the sheet of its board: open it first.";
    return "";
}

std::optional<double> number_in(const std::string& text) {
    char* end = nullptr;
    const double value = std::strtod(text.c_str(), &end);
    if (text.empty() || *end != '\0' || !(value >= 0.0 && value <= 10000.0)) return std::nullopt;
    return value;
}

}  // namespace

Requests store_panel(const Shown& shown, const ViewState&, const Brush& brush) {
    Requests asked;
    const session::SessionState& session = *shown.session;
    StoreDraft& draft = brush.drafts.store;
    begin_over("store", brush, 60, 36, "Store in the logbook");
    if (draft.focus_serial) ImGui::SetKeyboardFocusHere();
    draft.focus_serial = false;
    field(brush, "unit", "its serial number", draft.serial, 20);
    const Chosen chosen = session.units ? choose(*session.units, draft.serial) : Chosen{};
    unit_list(chosen, session, brush);
    const bool is_new = session.units && !draft.serial.empty() && chosen.exact == nullptr;
    if (is_new && session.sheet) {
        ImGui::Text("A new unit of %s.", base::printable(session.sheet->name).c_str());
        field(brush, "batch", "the lot it came from, may stay empty", draft.batch, 24);
        field(brush, "firmware", "may stay empty", draft.firmware, 24);
    }
    if (chosen.exact != nullptr && session.sheet && chosen.exact->board != session.sheet->name)
        ImGui::TextWrapped("Careful: this unit is a %s, and the open sheet is of %s.",
                           base::printable(chosen.exact->board).c_str(), base::printable(session.sheet->name).c_str());
    const bool any_take = recordings(shown, brush, asked);
    const std::string device = session.live && !session.demo ? base::printable(session.live->device) : "which one";
    field(brush, "microphone", device.c_str(), draft.microphone, 24);
    field(brush, "distance, cm", "from the board to the microphone", draft.distance, 24);
    field(brush, "note", "anything", draft.note, 40);
    field(brush, "label", "a word to compare by, as 'before'", draft.label, 24);
    ImGui::Checkbox("then clear them here for the next unit (their files stay)", &draft.clear);
    note_item(brush, "clear afterwards");
    const std::optional<double> distance = number_in(draft.distance);
    const std::string why_not = obstacle(session, draft, chosen, any_take, distance);
    ImGui::BeginDisabled(!why_not.empty() || session.storing || !session.units);
    if (button(brush, is_new ? "Add the unit and store###store" : "Store###store",
               "The recordings, the findings and what is said here")) {
        session::StoreOptions options{draft.serial,
                                      is_new,
                                      is_new ? draft.batch : "",
                                      is_new ? draft.firmware : "",
                                      draft.microphone,
                                      draft.note,
                                      draft.label,
                                      distance,
                                      true,
                                      draft.clear};
        asked.push_back(ask::Store{options});
        asked.push_back(ask::ShowOver{Over::nothing});
        draft.note.clear();
        if (draft.clear) draft.serial.clear();
    }
    ImGui::EndDisabled();
    ImGui::SameLine();
    if (button(brush, "Cancel##store", "Esc")) asked.push_back(ask::ShowOver{Over::nothing});
    ImGui::SameLine();
    ImGui::TextDisabled("%s", session.storing ? "Storing ..." : why_not.c_str());
    ImGui::End();
    return asked;
}

}  // namespace tattletone::window
