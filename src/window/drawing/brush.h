#pragma once

#include <optional>
#include <set>
#include <string>

#include <imgui.h>

#include "tones/tones.h"
#include "window/drawing/layout.h"
#include "window/drawing/palette.h"
#include "window/platform/places.h"

namespace tattletone::window {

struct StoreDraft {
    std::string serial, batch, firmware, microphone, distance, note, label;
    bool clear = true, focus_serial = false;
};

/// What a toggle plan is to be drawn for. Nothing ticked yet: what the findings suspect is.
struct PlanDraft {
    std::optional<std::set<std::string>> parts;
    int step_seconds = 3, steps = 60;
};

/// What a text being typed looks like before it is sent off. Belongs to the input fields alone.
struct Drafts {
    std::string path, spot, mark;
    StoreDraft store;
    PlanDraft plan;
    bool focus_path = false, focus_mark = false;
};

/// With what panels draw: colours, fonts, the height of a line, and the fields' texts.
struct Brush {
    const Palette& colours;
    float unit = 15.0f;
    ImFont *small = nullptr, *text = nullptr, *large = nullptr, *huge = nullptr;
    Places& places;
    Drafts& drafts;
};

ImU32 ink(Colour colour, double alpha = 1.0);
ImVec4 ink4(Colour colour);
void apply_look(const Palette& colours, float unit);

/// A child window that fills `rect`; always pair with ImGui::EndChild.
void begin_area(const char* name, const Rect& rect, ImGuiWindowFlags flags = 0);

/// A box in the middle, over everything; pair with ImGui::End.
void begin_over(const char* name, const Brush& brush, float columns, float rows, const char* title);
void heading(const Brush& brush, const char* text);

/// A button with its tooltip; `active` is drawn pressed. Its place is noted under the label without
/// what stands behind "##".
bool button(const Brush& brush, const char* label, const char* tip, bool active = false);
/// Lines of a menu and of a drop-down list, their places noted under what they say.
bool menu_line(const Brush& brush, const char* label, const char* key = nullptr, bool chosen = false,
               bool enabled = true);
bool list_line(const Brush& brush, const std::string& label, bool chosen = false);
/// A row of a table that is made anew twice a second: it answers to the press of the mouse, for by the
/// release another tone may bear its name, or it may stand elsewhere. Its place is noted by the caller.
bool table_row(const std::string& label, bool chosen);
void tip(const char* text);
std::string visible_part(const std::string& label);  ///< without what stands behind "##"
void note_item(const Brush& brush, const std::string& name);

/// Text that ends with … where it is wider than `width`. Returns the width drawn.
float text_within(const Brush& brush, ImFont* font, ImVec2 at, float width, Colour colour, const std::string& text);

/// The mark of a tone: disc (board), square (room), triangle (mains), hollow diamond (unsure).
void tone_mark(ImDrawList* list, ImVec2 at, float radius, tones::Origin origin, const Palette& colours, bool selected);

/// A tick, as of a list that is done.
void check_mark(ImDrawList* list, ImVec2 at, float size, ImU32 colour);

}  // namespace tattletone::window
