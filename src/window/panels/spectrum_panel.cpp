#include <algorithm>
#include <cmath>

#include "base/text/number.h"
#include "report/audible.h"
#include "report/words.h"
#include "window/drawing/brush.h"
#include "window/panels/panels.h"

namespace tattletone::window {
namespace {

struct Frame {
    const Rect& rect;
    float left, width;
    const ViewState& view;
    LevelRange range;
    float x(double hz) const { return left + static_cast<float>(std::clamp(view.axis.share(hz), -50.0, 50.0)) * width; }
    float y(double db) const {
        const double share = (range.high_db - db) / (range.high_db - range.low_db);
        return rect.y + static_cast<float>(std::clamp(share, 0.0, 1.0)) * rect.height;
    }
    bool holds(double hz) const {
        const double share = view.axis.share(hz);
        return share >= 0.0 && share <= 1.0;
    }
};

void grid(ImDrawList* list, const Frame& frame, const Brush& brush) {
    const Palette& c = brush.colours;
    const double label_share = 5.0 * brush.unit / static_cast<double>(frame.width);
    for (const Tick& tick : ticks(frame.view.axis, label_share))
        list->AddLine(ImVec2(frame.x(tick.hz), frame.rect.y), ImVec2(frame.x(tick.hz), frame.rect.bottom()),
                      ink(c.grid, tick.label.empty() ? 0.45 : 1.0));
    const double span = frame.range.high_db - frame.range.low_db;
    const double step = span > 70.0 ? 20.0 : 10.0;
    for (double db = step * std::ceil(frame.range.low_db / step); db < frame.range.high_db; db += step) {
        const float y = frame.y(db);
        list->AddLine(ImVec2(frame.left, y), ImVec2(frame.left + frame.width, y), ink(c.grid, 0.6));
        if (y < frame.rect.y + brush.unit || y > frame.rect.bottom() - 0.5f * brush.unit) continue;
        const std::string text = base::fixed(db, 0);
        const float wide = brush.small->CalcTextSizeA(brush.small->FontSize, 1e9f, 0, text.c_str()).x;
        list->AddText(brush.small, brush.small->FontSize,
                      ImVec2(frame.left - wide - 0.4f * brush.unit, y - 0.5f * brush.small->FontSize),
                      ink(c.faint_text), text.c_str());
    }
}

void curve(ImDrawList* list, const Frame& frame, const std::vector<Column>& columns, Colour colour, bool filled) {
    const float bottom = frame.rect.bottom();
    for (std::size_t i = 0; i < columns.size(); ++i) {
        const Column& column = columns[i];
        if (column.high <= beyond_curve) continue;
        const float x = frame.left + static_cast<float>(i);
        const float high = frame.y(column.high), low = frame.y(column.low);
        if (filled) list->AddRectFilled(ImVec2(x, high), ImVec2(x + 1, bottom), ink(colour, 0.16));
        list->AddRectFilled(ImVec2(x, high), ImVec2(x + 1, std::max(low, high + 1.5f)),
                            ink(colour, filled ? 0.9 : 0.7));
    }
}

void floor_line(ImDrawList* list, const Frame& frame, const tones::Tones& found, const Palette& c) {
    ImVec2 last;
    bool begun = false;
    for (const tones::FloorPoint& point : found.floor) {
        const ImVec2 at(frame.x(point.hz), frame.y(point.noise_dbfs_per_hz));
        if (begun) list->AddLine(last, at, ink(c.floor), 1.0f);
        last = at;
        begun = true;
    }
    // Nothing is concluded outside the usable band: shaded.
    const float low = frame.x(found.usable.low_hz), high = frame.x(found.usable.high_hz);
    const float right = frame.left + frame.width;
    if (low > frame.left + 1)
        list->AddRectFilled(ImVec2(frame.left, frame.rect.y), ImVec2(low, frame.rect.bottom()), ink(c.ground, 0.55));
    if (high < right - 1)
        list->AddRectFilled(ImVec2(high, frame.rect.y), ImVec2(right, frame.rect.bottom()), ink(c.ground, 0.55));
}

void marks(ImDrawList* list, const Shown& shown, const Frame& frame, const Brush& brush) {
    const Palette& c = brush.colours;
    std::vector<const tones::UnitTone*> loudest(shown.tones);
    std::sort(loudest.begin(), loudest.end(), [&](const tones::UnitTone* a, const tones::UnitTone* b) {
        const auto rank = [&](const tones::UnitTone* t) {
            return std::pair((t == shown.selected) * 2 + (t->tone.origin == tones::Origin::board), t->tone.level_dbfs);
        };
        return rank(a) > rank(b);
    });
    std::vector<std::pair<float, float>> taken;
    for (const tones::UnitTone* tone : loudest) {
        if (!frame.holds(tone->tone.hz)) continue;
        const bool selected = tone == shown.selected, board = tone->tone.origin == tones::Origin::board;
        const float x = frame.x(tone->tone.hz);
        const float y = std::max(frame.y(tone->tone.level_dbfs), frame.rect.y + 1.35f * brush.unit);
        list->AddLine(ImVec2(x, y), ImVec2(x, frame.rect.bottom()),
                      ink(selected ? c.selected
                          : board  ? c.board
                                   : c.other,
                          board ? 0.8 : 0.35),
                      selected ? 2.0f : 1.0f);
        tone_mark(list, ImVec2(x, y), (board ? 0.3f : 0.22f) * brush.unit, tone->tone.origin, c, selected);
        brush.places.note("tone " + std::to_string(tone->id), x - 2, frame.rect.bottom() - 12, 4, 8);
        if (!board && !selected) continue;
        const std::string label = base::short_hz(tone->tone.hz);
        const float wide = brush.small->CalcTextSizeA(brush.small->FontSize, 1e9f, 0, label.c_str()).x;
        const float from = std::clamp(x - 0.5f * wide, frame.left, frame.left + frame.width - wide);
        const bool free = std::none_of(taken.begin(), taken.end(), [&](const auto& other) {
            return from < other.second + 4 && from + wide > other.first - 4;
        });
        if (!free) continue;
        taken.emplace_back(from, from + wide);
        const float top = y - 0.55f * brush.unit - brush.small->FontSize;
        list->AddRectFilled(ImVec2(from - 2, top), ImVec2(from + wide + 2, top + brush.small->FontSize),
                            ink(c.ground, 0.75));
        list->AddText(brush.small, brush.small->FontSize, ImVec2(from, top), ink(selected ? c.selected : c.board),
                      label.c_str());
    }
}

void gutter(const Shown& shown, const ViewState& view, const Brush& brush, Requests& asked) {
    const Rect& rect = shown.layout.spectrum;
    ImGui::SetCursorScreenPos(ImVec2(rect.x, rect.y + 0.2f * brush.unit));
    ImGui::BeginGroup();
    const session::SessionState& session = *shown.session;
    std::string title = "Spectrum";
    if (shown.history_live) title = "Spectrum, live";
    for (const session::SessionRecording& recording : session.recordings)
        if (!shown.history_live && recording.id == view.shown_recording && recording.picture)
            title = "Spectrum of " + recording.name;
    const float room = shown.layout.axis_left - rect.x - 2.6f * brush.unit;
    text_within(brush, brush.text, ImGui::GetCursorScreenPos(), room, brush.colours.text, title);
    ImGui::Dummy(ImVec2(room, brush.text->FontSize));
    ImGui::PushFont(brush.small);
    ImGui::TextDisabled("dBFS in 1 Hz%s", shown.before_curve ? "; outline: before" : "");
    if (button(brush, view.axis.logarithmic ? "even##division" : "by octaves##division",
               "L: divide the frequency axis evenly or by octaves"))
        asked.push_back(ask::SetDivision{!view.axis.logarithmic});
    ImGui::SameLine();
    if (button(brush, "all##axis", "Home: the whole axis (or double-click)")) asked.push_back(ask::ShowAll{});
    if (shown.selected != nullptr) {
        if (button(brush, "zoom in on it##axis", "Z: the axis close around the selected tone"))
            asked.push_back(ask::ZoomToSelection{});
        if (session.live && button(brush, "follow it##axis", "F: find the spot where it is loudest"))
            asked.push_back(ask::FollowTone{shown.selected->tone.hz});
    }
    ImGui::PopFont();
    ImGui::EndGroup();
}

void axis_labels(ImDrawList* list, const Shown& shown, const Frame& frame, const Brush& brush) {
    const Rect& rect = shown.layout.axis;
    const double label_share = 5.0 * brush.unit / static_cast<double>(frame.width);
    for (const Tick& tick : ticks(frame.view.axis, label_share)) {
        const float x = frame.x(tick.hz);
        list->AddLine(ImVec2(x, rect.y), ImVec2(x, rect.y + (tick.label.empty() ? 3.0f : 6.0f)),
                      ink(brush.colours.faint_text));
        if (tick.label.empty()) continue;
        const float wide = brush.small->CalcTextSizeA(brush.small->FontSize, 1e9f, 0, tick.label.c_str()).x;
        const float from = std::clamp(x - 0.5f * wide, frame.left, frame.left + frame.width - wide);
        list->AddText(brush.small, brush.small->FontSize, ImVec2(from, rect.y + 0.45f * brush.unit),
                      ink(brush.colours.text), tick.label.c_str());
    }
}

void hover_words(const Shown& shown, const Frame& frame) {
    const ImVec2 mouse = ImGui::GetIO().MousePos;
    if (!ImGui::IsItemHovered() || mouse.x < frame.left || mouse.x > frame.left + frame.width) return;
    const double hz = frame.view.axis.hz((mouse.x - frame.left) / frame.width);
    const double pixel_hz = frame.view.axis.hz((mouse.x + 1 - frame.left) / frame.width) - hz;
    std::string text = base::fixed(hz, base::decimals_for(pixel_hz)) + " Hz";
    if (shown.curve) text += " (bins of " + base::significant(shown.curve->bin_hz, 2) + " Hz)";
    for (const tones::UnitTone* tone : shown.tones) {
        if (std::abs(frame.x(tone->tone.hz) - mouse.x) > 6) continue;
        text += "\n" + report::frequency_words(*shown.session->findings, tone->tone) + " Hz, " +
                base::fixed(tone->tone.level_dbfs, 1) + " dBFS, " + match::origin_word(tone->tone.origin) + ": " +
                explanation_of(*shown.session->findings, *tone);
    }
    tip(text.c_str());
}

}  // namespace

Requests spectrum_panel(const Shown& shown, const ViewState& view, const Brush& brush) {
    Requests asked;
    Rect both = shown.layout.spectrum;
    both.height += shown.layout.axis.height;
    begin_area("spectrum", both, ImGuiWindowFlags_NoScrollbar | ImGuiWindowFlags_NoScrollWithMouse);
    ImDrawList* list = ImGui::GetWindowDrawList();
    const Frame frame{shown.layout.spectrum, shown.layout.axis_left, shown.layout.axis_width, view, shown.range};
    grid(list, frame, brush);
    list->PushClipRect(ImVec2(frame.left, frame.rect.y), ImVec2(frame.left + frame.width, frame.rect.bottom()), true);
    curve(list, frame, shown.before_columns, brush.colours.ghost, false);
    curve(list, frame, shown.columns, brush.colours.curve, true);
    if (shown.floor) floor_line(list, frame, *shown.floor, brush.colours);
    marks(list, shown, frame, brush);
    list->PopClipRect();
    axis_labels(list, shown, frame, brush);
    list->AddLine(ImVec2(frame.left, frame.rect.bottom()), ImVec2(frame.left + frame.width, frame.rect.bottom()),
                  ink(brush.colours.border));
    ImGui::SetCursorScreenPos(ImVec2(frame.left, frame.rect.y));
    ImGui::InvisibleButton("axis", ImVec2(frame.width, both.height));
    note_item(brush, "Spectrum");
    asked = axis_mouse(shown, view, brush, true);
    hover_words(shown, frame);
    gutter(shown, view, brush, asked);
    ImGui::EndChild();
    return asked;
}

}  // namespace tattletone::window
