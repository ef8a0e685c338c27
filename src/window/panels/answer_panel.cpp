#include <algorithm>
#include <cfloat>
#include <cmath>

#include "report/text/columns.h"
#include "window/drawing/brush.h"
#include "window/panels/panels.h"

namespace tattletone::window {
namespace {

/// Singing: a disc with waves; quiet: an empty ring; unknown: a ring with a question mark.
void mood_mark(ImDrawList* list, ImVec2 at, float size, Mood mood, const Brush& brush) {
    const Palette& c = brush.colours;
    const float r = 0.3f * size, thick = std::max(2.0f, 0.06f * size);
    switch (mood) {
        case Mood::named: {
            list->AddCircleFilled(at, r, ink(c.board));
            for (const float wave : {1.6f, 2.2f})
                for (const float side : {0.0f, 3.14159f}) {
                    list->PathArcTo(at, wave * r, side - 0.7f, side + 0.7f, 16);
                    list->PathStroke(ink(c.board), 0, thick);
                }
            break;
        }
        case Mood::unknown: {
            list->AddCircle(at, 1.2f * r, ink(c.board), 0, thick);
            const ImVec2 wide = brush.large->CalcTextSizeA(brush.large->FontSize, 1e9f, 0, "?");
            list->AddText(brush.large, brush.large->FontSize, ImVec2(at.x - 0.5f * wide.x, at.y - 0.5f * wide.y),
                          ink(c.board), "?");
            break;
        }
        case Mood::quiet:
            list->AddCircle(at, 1.2f * r, ink(c.good), 0, thick);
            list->AddLine(ImVec2(at.x - 0.6f * r, at.y), ImVec2(at.x + 0.6f * r, at.y), ink(c.good), thick);
            break;
        case Mood::waiting:
            for (const float x : {-1.0f, 0.0f, 1.0f})
                list->AddCircleFilled(ImVec2(at.x + x * r, at.y), 0.25f * r, ink(c.faint_text));
            break;
        case Mood::nothing_yet:
            list->AddCircle(at, 1.2f * r, ink(c.dim), 0, thick);
            break;
    }
}

const char* mood_word(Mood mood) {
    if (mood == Mood::named) return "Singing";
    if (mood == Mood::unknown) return "Singing: who?";
    return mood == Mood::quiet ? "Quiet" : "";
}

void warning_line(const Shown& shown, const Brush& brush, ImVec2 at, float width) {
    const auto& warnings = shown.answer.warnings;
    if (warnings.empty()) return;
    std::string text = warnings[0];
    if (warnings.size() > 1) text = "(1 of " + std::to_string(warnings.size()) + ") " + text;
    ImDrawList* list = ImGui::GetWindowDrawList();
    const float size = 0.8f * brush.small->FontSize;
    const ImVec2 base(at.x, at.y + 0.9f * brush.small->FontSize);
    list->AddTriangleFilled(base, ImVec2(base.x + size, base.y), ImVec2(base.x + 0.5f * size, base.y - size),
                            ink(brush.colours.trouble));
    const float room = width - 1.4f * size;
    for (const std::string& warning : warnings) brush.places.note("warns " + warning, at.x, at.y, room, size);
    text_within(brush, brush.small, ImVec2(at.x + 1.4f * size, at.y), room, brush.colours.trouble, text);
    ImGui::SetCursorScreenPos(at);
    ImGui::InvisibleButton("warnings", ImVec2(std::max(1.0f, width), brush.small->FontSize));
    std::string all;
    for (const std::string& warning : warnings) all += (all.empty() ? "" : "\n") + warning;
    tip(all.c_str());
}

void sheet_error_line(const Shown& shown, const Brush& brush, ImVec2 at, float width) {
    const board::SheetError& first = shown.session->sheet_errors.front();
    const auto count = shown.session->sheet_errors.size();
    std::string text = "Board sheet, line " + std::to_string(first.line) + ": " + base::printable(first.what) + ". " +
                       base::printable(first.todo) + ".";
    if (count > 1) text += " (and " + std::to_string(count - 1) + " more)";
    text_within(brush, brush.small, at, width, brush.colours.trouble, text);
    std::string all;
    for (const board::SheetError& error : shown.session->sheet_errors)
        all += base::printable(base::to_sentence(board::to_error(error))) + "\n";
    for (const board::SheetError& error : shown.session->sheet_errors)
        brush.places.note("sheet error in line " + std::to_string(error.line) + ": " + error.what, at.x, at.y, width,
                          brush.unit);
    ImGui::SetCursorScreenPos(at);
    ImGui::InvisibleButton("sheet errors", ImVec2(std::max(1.0f, width), brush.small->FontSize));
    tip(all.c_str());
}

/// Text that goes on in the next line where it is wider than `width`. Returns the height drawn.
float wrapped_within(ImFont* font, ImVec2 at, float width, Colour colour, const std::string& text) {
    ImGui::GetWindowDrawList()->AddText(font, font->FontSize, at, ink(colour), text.c_str(), text.c_str() + text.size(),
                                        width);
    return font->CalcTextSizeA(font->FontSize, FLT_MAX, width, text.c_str()).y;
}
float wrapped_height(ImFont* font, float width, const std::string& text) {
    return text.empty() ? 0.0f : font->CalcTextSizeA(font->FontSize, FLT_MAX, width, text.c_str()).y;
}

/// What stands between the headline and what to do next; it scrolls where it is higher than its place.
class ReasonsArea {
  public:
    ReasonsArea(const Brush& brush, float width) : brush_(brush), width_(width - ImGui::GetStyle().ScrollbarSize) {}

    void draw(const report::AnswerParts& parts, const std::vector<std::string>& trial) {
        sentences("Plan", trial);
        for (const report::SuspectCase& one : parts.cases) {
            if (!one.title.empty()) paragraph("", one.title, 0.0f);
            sentences("For", one.speaks_for);
            sentences("Against", one.speaks_against);
        }
        sentences("Others", parts.others);
        sentences("Open", parts.open);
    }

  private:
    void sentences(const char* label, const std::vector<std::string>& list) {
        std::string name = label;
        name[0] = static_cast<char>(name[0] - 'A' + 'a');
        for (std::size_t i = 0; i < list.size(); ++i) {
            const ImVec2 at = ImGui::GetCursorScreenPos();
            brush_.places.note(name + " " + list[i], at.x, at.y, width_, brush_.unit);
            paragraph(i == 0 ? label : "", list[i], 5.0f * brush_.unit);
        }
    }
    void paragraph(const char* label, const std::string& text, float indent) {
        const ImVec2 at = ImGui::GetCursorScreenPos();
        ImFont* const font = brush_.small;
        ImGui::GetWindowDrawList()->AddText(font, font->FontSize, at, ink(brush_.colours.faint_text), label);
        const float height =
            wrapped_within(font, ImVec2(at.x + indent, at.y), width_ - indent, brush_.colours.text, text);
        ImGui::Dummy(ImVec2(width_, height));
    }

    const Brush& brush_;
    const float width_;
};

float headline(const Shown& shown, const Brush& brush, ImVec2 at, float width) {
    const std::string& text = shown.answer.headline;
    brush.places.note("says " + text, at.x, at.y, width, brush.unit);
    ImFont* font = brush.large;
    if (font->CalcTextSizeA(font->FontSize, FLT_MAX, 0.0f, text.c_str()).x > width) font = brush.text;
    return wrapped_within(font, at, width, brush.colours.text, text);
}

/// Basis, and what spoils the answer or is wrong with the sheet.
void lowest_line(const Shown& shown, const Brush& brush, ImVec2 at, float width) {
    if (!shown.session->sheet_errors.empty()) return sheet_error_line(shown, brush, at, width);
    float used = 0.0f;
    if (!shown.answer.basis.empty())
        used = text_within(brush, brush.small, at, width, brush.colours.faint_text, shown.answer.basis) + brush.unit;
    warning_line(shown, brush, ImVec2(at.x + used, at.y), width - used);
}

}  // namespace

Requests answer_panel(const Shown& shown, const ViewState&, const Brush& brush) {
    const Rect& rect = shown.layout.answer;
    begin_area("answer", rect, ImGuiWindowFlags_NoScrollbar);
    ImDrawList* list = ImGui::GetWindowDrawList();
    const Palette& c = brush.colours;
    list->AddRectFilled(ImVec2(rect.x, rect.y), ImVec2(rect.right(), rect.bottom()), ink(c.panel), 0.3f * brush.unit);
    const float size = std::min(rect.height, 3.4f * brush.unit);
    mood_mark(list, ImVec2(rect.x + 0.8f * size, rect.y + 0.5f * rect.height), size, shown.answer.mood, brush);
    const float word_left = rect.x + 1.6f * size;
    text_within(brush, brush.text, ImVec2(word_left, rect.y + 0.5f * (rect.height - brush.text->FontSize)),
                shown.layout.axis_left - word_left, c.faint_text, mood_word(shown.answer.mood));
    const float left = shown.layout.axis_left, width = rect.right() - left - 0.5f * brush.unit;
    float y = rect.y + 0.3f * brush.unit;
    y += headline(shown, brush, ImVec2(left, y), width) + 0.15f * brush.unit;
    const report::AnswerParts* parts = shown.answer.parts ? &*shown.answer.parts : nullptr;
    if (parts != nullptr && !parts->heard.empty()) {
        brush.places.note("hears " + parts->heard, left, y, width, brush.unit);
        y += wrapped_within(brush.text, ImVec2(left, y), width, c.text, parts->heard) + 0.15f * brush.unit;
    }
    const std::string next = shown.answer.next.empty() ? "" : "Next: " + shown.answer.next;
    const float lowest = rect.bottom() - 1.25f * brush.unit;
    const float next_top =
        parts == nullptr ? y + 0.1f * brush.unit : lowest - wrapped_height(brush.text, width, next) - 0.2f * brush.unit;
    brush.places.note("next " + shown.answer.next, left, next_top, width, brush.unit);
    if (parts != nullptr && next_top > y + brush.unit) {
        ImGui::SetCursorScreenPos(ImVec2(left, y));
        ImGui::PushStyleVar(ImGuiStyleVar_ItemSpacing, ImVec2(0.0f, 0.1f * brush.unit));
        ImGui::BeginChild("reasons", ImVec2(width, next_top - y - 0.1f * brush.unit));
        ReasonsArea(brush, width).draw(*parts, shown.answer.trial);
        ImGui::EndChild();
        ImGui::PopStyleVar();
    }
    wrapped_within(brush.text, ImVec2(left, next_top), width, c.text, next);
    lowest_line(shown, brush, ImVec2(left, lowest), width);
    ImGui::EndChild();
    return {};
}

Requests steps_panel(const Shown& shown, const ViewState&, const Brush& brush) {
    Requests asked;
    begin_area("steps", shown.layout.steps, ImGuiWindowFlags_NoScrollbar);
    const session::SessionState& session = *shown.session;
    const Palette& c = brush.colours;
    ImGui::SetCursorPosY(0.25f * brush.unit);
    ImGui::AlignTextToFramePadding();
    ImGui::TextDisabled("Record");
    int number = 0;
    for (const StepView& step : steps_of(session)) {
        ImGui::SameLine();
        ImGui::BeginDisabled(!session.live || session.demo);
        const std::string label = (step.done ? "     " : "") + step.label + "###step" + std::to_string(number);
        std::string help = step.room  ? "R: board off, everything else unchanged, 5 seconds"
                           : step.far ? "the same state, the microphone 60 cm from the board, 10 seconds"
                                      : "bring the board into this state, then record 10 seconds";
        if (number > 0 && !step.far) help = std::string(number == 1 ? "S (the next open one): " : "") + help;
        if (!session.live) help += ". Choose a microphone first.";
        const bool pressed = ImGui::Button(label.c_str());
        const ImVec2 low = ImGui::GetItemRectMin(), high = ImGui::GetItemRectMax();
        brush.places.note("step " + step.label, low.x, low.y, high.x - low.x, high.y - low.y);
        tip(help.c_str());
        ImGui::EndDisabled();
        ImDrawList* list = ImGui::GetWindowDrawList();
        if (step.done) {
            brush.places.note("done " + step.label, low.x, low.y, high.x - low.x, high.y - low.y);
            check_mark(list, ImVec2(low.x + 0.45f * brush.unit, low.y + 0.35f * brush.unit), 0.8f * brush.unit,
                       ink(c.good));
        }
        if (step.running)
            list->AddRectFilled(ImVec2(low.x, high.y - 4),
                                ImVec2(low.x + static_cast<float>(step.share) * (high.x - low.x), high.y),
                                ink(c.board));
        if (pressed && step.running) asked.push_back(ask::CancelStep{});
        if (pressed && !step.running)
            asked.push_back(
                ask::BeginStep{step.room, step.state, step.room ? room_step_seconds : state_step_seconds, step.far});
        ++number;
    }
    if (session.live && session.sheet && !session.sheet->states.empty()) {
        ImGui::SameLine(0, 1.5f * brush.unit);
        ImGui::TextDisabled("the board is now");
        ImGui::SameLine();
        ImGui::SetNextItemWidth(8.0f * brush.unit);
        if (ImGui::BeginCombo("##state", session.live_state.empty() ? "not said" : session.live_state.c_str())) {
            if (list_line(brush, "not said")) asked.push_back(ask::LiveState{});
            for (const std::string& state : session.sheet->states)
                if (list_line(brush, base::printable(state))) asked.push_back(ask::LiveState{state});
            ImGui::EndCombo();
        }
        note_item(brush, "State");
        tip("The operating state while listening: it tells which rates can be active at all.");
    }
    ImGui::SameLine(0, 1.5f * brush.unit);
    if (button(brush, "Toggle plan ...##steps",
               "T: switch parts on and off in a random order while it records: what follows the order is caused by it",
               session.step && session.step->plan))
        asked.push_back(ask::ShowOver{Over::toggle});
    if (!session.notes.empty()) {
        const session::SessionNote& note = session.notes.back();
        ImGui::SameLine(0, 1.5f * brush.unit);
        const ImVec2 at = ImGui::GetCursorScreenPos();
        const float width = shown.layout.steps.right() - at.x - 2.2f * brush.unit;
        if (width > 4 * brush.unit) {
            text_within(brush, brush.small, ImVec2(at.x, at.y + 0.3f * brush.unit), width,
                        note.trouble ? c.trouble : c.good, note.text);
            ImGui::InvisibleButton("note", ImVec2(width, brush.unit));
            note_item(brush, "tells " + note.text);
            tip(note.text.c_str());
            ImGui::SameLine();
            if (button(brush, "x##note", "Away with this message")) asked.push_back(ask::Dismiss{note.id});
        }
    }
    ImGui::EndChild();
    return asked;
}

}  // namespace tattletone::window
