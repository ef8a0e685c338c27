#include <cmath>

#include "base/text/number.h"
#include "report/audible.h"
#include "report/words.h"
#include "window/drawing/brush.h"
#include "window/panels/panels.h"

namespace tattletone::window {
namespace {

enum Column_ : ImGuiID {
    column_hz,
    column_level,
    column_ratio,
    column_prominent,
    column_present,
    column_drift,
    column_origin,
    column_words
};

std::string drift_of(const tones::Tone& tone) {
    if (tone.steady) return "steady";
    const double share = (tone.end_hz - tone.start_hz) / tone.hz;
    return (share >= 0 ? "+" : "") + base::fixed(100.0 * share, 2) + " %";
}

std::string prominence_of(const tones::Tone& tone) {
    if (tone.prominent) return *tone.prominent ? "yes" : "no";
    return "-";
}

void take_sorting(const ViewState& view, Requests& asked) {
    ImGuiTableSortSpecs* specs = ImGui::TableGetSortSpecs();
    if (specs == nullptr || !specs->SpecsDirty || specs->SpecsCount == 0) return;
    static constexpr TonesBy by[] = {TonesBy::hz,      TonesBy::level, TonesBy::ratio, TonesBy::ratio,
                                     TonesBy::present, TonesBy::drift, TonesBy::origin};
    const ImGuiID column = specs->Specs[0].ColumnUserID;
    if (column < column_words) {
        const bool descend = specs->Specs[0].SortDirection == ImGuiSortDirection_Descending;
        if (by[column] != view.tones_by || descend != view.tones_descend)
            asked.push_back(ask::SortTones{by[column], descend});
    }
    specs->SpecsDirty = false;
}

void row(const Shown& shown, const tones::UnitTone& tone, const Brush& brush, Requests& asked) {
    ImGui::TableNextRow();
    ImGui::TableNextColumn();
    const bool selected = &tone == shown.selected;
    const ImVec2 at = ImGui::GetCursorScreenPos();
    const std::string hz =
        "     " + report::frequency_words(*shown.session->findings, tone.tone) + "###" + std::to_string(tone.id);
    if (table_row(hz, selected))
        asked.push_back(ask::SelectTone{selected ? std::nullopt : std::optional(tone.tone.hz)});
    note_item(brush, "row " + std::to_string(tone.id));
    const std::string where = report::where_heard(*shown.session->findings, tone);
    if (!where.empty()) tip(where.c_str());
    tone_mark(ImGui::GetWindowDrawList(), ImVec2(at.x + 0.5f * brush.unit, at.y + 0.5f * brush.unit), 0.3f * brush.unit,
              tone.tone.origin, brush.colours, false);
    const auto cell = [](const std::string& text) {
        ImGui::TableNextColumn();
        ImGui::TextUnformatted(text.c_str());
    };
    cell(base::fixed(tone.tone.level_dbfs, 1));
    cell(base::fixed(tone.tone.tone_to_noise_db, 1));
    cell(prominence_of(tone.tone));
    cell(base::fixed(100.0 * tone.tone.present, 0) + " %");
    cell(drift_of(tone.tone));
    cell(match::origin_word(tone.tone.origin));
    cell(explanation_of(*shown.session->findings, tone));
}

}  // namespace

Requests tones_panel(const Shown& shown, const ViewState& view, const Brush& brush) {
    Requests asked;
    begin_area("tones", shown.layout.lower);
    if (shown.tones.empty()) {
        ImGui::Dummy(ImVec2(1, 0.5f * brush.unit));
        ImGui::TextDisabled(shown.session->findings
                                ? "No tone was found: nothing sings loudly enough for this microphone."
                                : "Tones appear here half a second after something is heard.");
        ImGui::EndChild();
        return asked;
    }
    const ImGuiTableFlags flags = ImGuiTableFlags_Sortable | ImGuiTableFlags_ScrollY | ImGuiTableFlags_RowBg |
                                  ImGuiTableFlags_SizingFixedFit | ImGuiTableFlags_PadOuterX;
    if (ImGui::BeginTable("tones", 8, flags)) {
        ImGui::TableSetupScrollFreeze(0, 1);
        const auto column = [](const char* name, ImGuiTableColumnFlags extra, float width, ImGuiID id) {
            ImGui::TableSetupColumn(name, extra, width, id);
        };
        const float u = brush.unit;
        column("frequency, Hz", 0, 11 * u, column_hz);
        column("dBFS", ImGuiTableColumnFlags_PreferSortDescending, 3.6f * u, column_level);
        column("over noise, dB", ImGuiTableColumnFlags_PreferSortDescending, 8 * u, column_ratio);
        column("by ratio", ImGuiTableColumnFlags_NoSort, 5.6f * u, column_prominent);
        column("present", ImGuiTableColumnFlags_PreferSortDescending, 4.2f * u, column_present);
        column("drift", ImGuiTableColumnFlags_PreferSortDescending, 4.4f * u, column_drift);
        column("origin", ImGuiTableColumnFlags_DefaultSort, 4 * u, column_origin);
        column("explained by", ImGuiTableColumnFlags_NoSort | ImGuiTableColumnFlags_WidthStretch, 1, column_words);
        ImGui::TableNextRow(ImGuiTableRowFlags_Headers);
        for (int i = 0; i < ImGui::TableGetColumnCount(); ++i) {
            ImGui::TableSetColumnIndex(i);
            ImGui::TableHeader(ImGui::TableGetColumnName(i));
            note_item(brush, std::string("column ") + ImGui::TableGetColumnName(i));
        }
        take_sorting(view, asked);
        for (const tones::UnitTone* tone : shown.tones) row(shown, *tone, brush, asked);
        ImGui::EndTable();
    }
    ImGui::EndChild();
    return asked;
}

}  // namespace tattletone::window
