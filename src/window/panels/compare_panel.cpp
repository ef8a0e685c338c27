#include <cmath>

#include "base/text/number.h"
#include "report/text/columns.h"
#include "window/drawing/brush.h"
#include "window/panels/panels.h"

namespace tattletone::window {
namespace {

std::string became_words(const session::ToneChange& change) {
    switch (change.became) {
        case session::Became::stayed:
            return "stayed";
        case session::Became::went:
            return "went";
        case session::Became::came:
            return "came";
        case session::Became::too_quiet:
            return change.before == 0 ? "came? too quiet to tell" : "went? too quiet to tell";
        case session::Became::no_such_take:
            return change.before == 0 ? "no such state before" : "no such state now";
    }
    return "";
}

std::string level_words(const session::ToneChange& change) {
    if (!change.db_change) return change.became == session::Became::stayed ? "no common state" : "";
    const double db = *change.db_change;
    if (change.became != session::Became::stayed)
        return std::string(db < 0 ? "-" : "+") + base::fixed(std::abs(db), 1) + " or more";
    return (db >= 0 ? "+" : "") + base::with_uncertainty(db, std::max(0.05, change.db_sd));
}

void change_row(const session::ToneChange& change, const Brush& brush, Requests& asked) {
    const auto cell = [](const std::string& text, Colour colour) {
        ImGui::TableNextColumn();
        ImGui::PushStyleColor(ImGuiCol_Text, ink4(colour));
        ImGui::TextUnformatted(text.c_str());
        ImGui::PopStyleColor();
    };
    const Palette& c = brush.colours;
    ImGui::TableNextRow();
    ImGui::TableNextColumn();
    const ImVec2 at = ImGui::GetCursorScreenPos();
    const std::string label = "     " + base::short_hz(change.hz) + "###" + std::to_string(change.before) + "/" +
                              std::to_string(change.after);
    if (table_row(label, false)) asked.push_back(ask::SelectTone{change.hz});
    const std::string level = level_words(change), state = base::printable(change.state);
    note_item(brush, "change " + base::short_hz(change.hz) + ": " + became_words(change) + ", " + level +
                         (state.empty() ? "" : ", " + state));
    tone_mark(ImGui::GetWindowDrawList(), ImVec2(at.x + 0.5f * brush.unit, at.y + 0.5f * brush.unit), 0.3f * brush.unit,
              change.origin, brush.colours, false);
    const bool stayed = change.became == session::Became::stayed;
    cell(became_words(change), c.text);
    const double moved = change.hz_change;
    cell(stayed ? (moved >= 0 ? "+" : "") + base::with_uncertainty(moved, change.hz_sd) : "",
         std::abs(moved) > 2.0 * change.hz_sd ? c.text : c.faint_text);
    const bool clear = !stayed || std::abs(change.db_change.value_or(0.0)) > 2.0 * change.db_sd;
    cell(level, clear ? c.text : c.faint_text);
    cell(state, c.faint_text);
}

void takes_before(const Shown& shown, const Brush& brush, Requests& asked) {
    if (!ImGui::BeginTable("before", 3, ImGuiTableFlags_ScrollY | ImGuiTableFlags_RowBg | ImGuiTableFlags_PadOuterX))
        return;
    ImGui::TableSetupColumn("before", ImGuiTableColumnFlags_WidthStretch);
    ImGui::TableSetupColumn("made in", ImGuiTableColumnFlags_WidthFixed, 9.5f * brush.unit);
    ImGui::TableSetupColumn("", ImGuiTableColumnFlags_WidthFixed, 1.6f * brush.unit);
    for (const session::SessionRecording& old : shown.session->before) {
        ImGui::PushID(old.id);
        ImGui::TableNextRow();
        ImGui::TableNextColumn();
        ImGui::AlignTextToFramePadding();
        const bool well = old.trouble.empty();
        ImGui::PushStyleColor(ImGuiCol_Text, ink4(well ? brush.colours.text : brush.colours.trouble));
        ImGui::TextUnformatted(base::printable(old.name).c_str());
        ImGui::PopStyleColor();
        brush.places.note("before " + old.name, 0, 0, 1, 1);
        tip(well ? old.path.c_str() : old.trouble.c_str());
        ImGui::TableNextColumn();
        role_list(shown, old, brush, asked);
        ImGui::TableNextColumn();
        if (button(brush, "x##before", "Away with it; the file stays")) asked.push_back(ask::RemoveRecording{old.id});
        ImGui::PopID();
    }
    ImGui::EndTable();
}

void changes(const Shown& shown, const Brush& brush, Requests& asked) {
    if (!shown.session->before_tones || !shown.session->findings) {
        ImGui::TextWrapped("%s",
                           shown.session->findings ? "Reading ..." : "Now record or open what came after the change.");
        return;
    }
    if (!ImGui::BeginTable("changes", 5,
                           ImGuiTableFlags_ScrollY | ImGuiTableFlags_RowBg | ImGuiTableFlags_PadOuterX |
                               ImGuiTableFlags_SizingFixedFit))
        return;
    const float u = brush.unit;
    ImGui::TableSetupScrollFreeze(0, 1);
    ImGui::TableSetupColumn("tone", 0, 6.2f * u);
    ImGui::TableSetupColumn("became", 0, 8 * u);
    ImGui::TableSetupColumn("moved by, Hz", 0, 9 * u);
    ImGui::TableSetupColumn("louder by, dB", 0, 7.5f * u);
    ImGui::TableSetupColumn("in", ImGuiTableColumnFlags_WidthStretch);
    ImGui::TableHeadersRow();
    for (const session::ToneChange& change : shown.changes) change_row(change, brush, asked);
    ImGui::EndTable();
}

}  // namespace

Requests compare_panel(const Shown& shown, const ViewState&, const Brush& brush) {
    Requests asked;
    begin_area("compare", shown.layout.lower);
    const session::SessionState& session = *shown.session;
    ImGui::Dummy(ImVec2(1, 0.1f * brush.unit));
    if (button(brush, "Compare with ...", "a recording from before a change: one for each state"))
        asked.push_back(ask::ShowOpen{true, false});
    ImGui::SameLine();
    ImGui::BeginDisabled(session.recordings.empty());
    if (button(brush, "Set the present aside",
               "what is recorded now becomes the session from before; then change the board and "
               "record again"))
        asked.push_back(ask::SetAside{});
    ImGui::EndDisabled();
    if (session.before.empty()) {
        ImGui::TextWrapped(
            "Open, or drop here, the recordings from before a change (another capacitor, another "
            "firmware), one for each state. Their spectrum stands behind the present one, and each "
            "tone shows what it gained or lost in the same state.");
        ImGui::EndChild();
        return asked;
    }
    ImGui::SameLine();
    if (button(brush, "No more", "the session from before goes; its files stay")) asked.push_back(ask::ForgetBefore{});
    ImGui::SameLine();
    ImGui::TextDisabled("uncertainty of levels: of the noise alone; keep the microphone in place");
    const float width = 0.38f * shown.layout.lower.width;
    ImGui::BeginChild("takes before", ImVec2(width, 0));
    takes_before(shown, brush, asked);
    ImGui::EndChild();
    ImGui::SameLine();
    ImGui::BeginChild("changes", ImVec2(0, 0));
    changes(shown, brush, asked);
    ImGui::EndChild();
    ImGui::EndChild();
    return asked;
}

}  // namespace tattletone::window
