#include <cmath>

#include "report/number.h"
#include "report/utf8.h"
#include "window/brush.h"
#include "window/panels.h"

namespace tattletone {
namespace {

void change_row(const ToneChange& change, const Brush& brush, Requests& asked) {
    const auto cell = [](const std::string& text) {
        ImGui::TableNextColumn();
        ImGui::TextUnformatted(text.c_str());
    };
    const auto with_sign = [](double value, double sd) {
        return (value >= 0 ? "+" : "") + with_uncertainty(value, sd);
    };
    ImGui::TableNextRow();
    ImGui::TableNextColumn();
    const std::string label = short_hz(change.hz) + "###" + std::to_string(change.before) + "/" +
                              std::to_string(change.after);
    if (ImGui::Selectable(label.c_str(), false, ImGuiSelectableFlags_SpanAllColumns))
        asked.push_back(ask::SelectTone{change.hz});
    if (change.before == 0 || change.after == 0) {
        cell(change.before == 0 ? "came" : "went");
        cell("");
        cell("");
        return;
    }
    cell("stayed");
    cell(with_sign(change.hz_change, change.hz_sd));
    const bool clear = std::abs(change.db_change) > 2.0 * change.db_sd;
    ImGui::TableNextColumn();
    ImGui::PushStyleColor(ImGuiCol_Text,
                          ink4(clear ? brush.colours.text : brush.colours.faint_text));
    ImGui::TextUnformatted(with_sign(change.db_change, std::max(0.05, change.db_sd)).c_str());
    ImGui::PopStyleColor();
}

}  // namespace

Requests compare_panel(const Shown& shown, const ViewState&, const Brush& brush) {
    Requests asked;
    begin_area("compare", shown.layout.lower);
    const SessionState& session = *shown.session;
    ImGui::Dummy(ImVec2(1, 0.1f * brush.unit));
    if (button(brush, "Compare with ...",
               "recordings from before a change; they stand behind as a ghost"))
        asked.push_back(ask::ShowOpen{true, false});
    if (session.before.empty()) {
        ImGui::TextWrapped(
            "Load recordings from before a change (another capacitor, another firmware): their "
            "spectrum stands behind the present one, and each tone shows what it gained or lost.");
        ImGui::EndChild();
        return asked;
    }
    ImGui::SameLine();
    if (button(brush, "No more", "the ghost goes")) asked.push_back(ask::Compare{});
    std::string names = "before:";
    for (const SessionRecording& old : session.before) {
        names += " " + printable(old.name);
        if (!old.trouble.empty()) names += " (" + printable(old.trouble) + ")";
    }
    ImGui::SameLine();
    ImGui::TextDisabled("%s", names.c_str());
    if (!session.before_tones || !session.findings) {
        ImGui::TextDisabled(session.findings ? "Reading ..."
                                             : "Now record or open what came after.");
    } else if (ImGui::BeginTable("changes", 4,
                                 ImGuiTableFlags_ScrollY | ImGuiTableFlags_RowBg |
                                     ImGuiTableFlags_SizingFixedFit)) {
        ImGui::TableSetupScrollFreeze(0, 1);
        ImGui::TableSetupColumn("tone", 0, 7 * brush.unit);
        ImGui::TableSetupColumn("", 0, 5 * brush.unit);
        ImGui::TableSetupColumn("moved by, Hz", 0, 12 * brush.unit);
        ImGui::TableSetupColumn("louder by, dB (noise alone)", ImGuiTableColumnFlags_WidthStretch);
        ImGui::TableHeadersRow();
        for (const ToneChange& change : shown.changes) change_row(change, brush, asked);
        ImGui::EndTable();
    }
    ImGui::EndChild();
    return asked;
}

}  // namespace tattletone
