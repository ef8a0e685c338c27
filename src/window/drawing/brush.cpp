#include "window/drawing/brush.h"

#include <algorithm>

namespace tattletone::window {

ImU32 ink(Colour colour, double alpha) {
    return IM_COL32(colour.red, colour.green, colour.blue, static_cast<int>(static_cast<double>(colour.alpha) * alpha));
}

ImVec4 ink4(Colour colour) {
    return ImGui::ColorConvertU32ToFloat4(ink(colour));
}

void apply_look(const Palette& colours, float unit) {
    ImGuiStyle& style = ImGui::GetStyle();
    style = ImGuiStyle();
    style.WindowRounding = 0.0f;
    style.FrameRounding = style.PopupRounding = style.GrabRounding = 0.25f * unit;
    style.WindowPadding = ImVec2(0.6f * unit, 0.5f * unit);
    style.FramePadding = ImVec2(0.5f * unit, 0.22f * unit);
    style.ItemSpacing = ImVec2(0.45f * unit, 0.35f * unit);
    style.CellPadding = ImVec2(0.4f * unit, 0.12f * unit);
    style.ScrollbarSize = 0.8f * unit;
    style.WindowBorderSize = 0.0f;
    style.FrameBorderSize = 1.0f;
    ImVec4* c = style.Colors;
    c[ImGuiCol_Text] = ink4(colours.text);
    c[ImGuiCol_TextDisabled] = ink4(colours.faint_text);
    c[ImGuiCol_WindowBg] = ink4(colours.ground);
    c[ImGuiCol_ChildBg] = ImVec4(0, 0, 0, 0);
    c[ImGuiCol_PopupBg] = ink4(colours.panel);
    c[ImGuiCol_Border] = ink4(colours.border);
    c[ImGuiCol_FrameBg] = ink4(colours.panel);
    c[ImGuiCol_FrameBgHovered] = c[ImGuiCol_FrameBgActive] = ink4(colours.raised);
    c[ImGuiCol_Button] = ink4(colours.panel);
    c[ImGuiCol_ButtonHovered] = c[ImGuiCol_ButtonActive] = ink4(colours.raised);
    c[ImGuiCol_Header] = ink4(colours.raised);
    c[ImGuiCol_HeaderHovered] = c[ImGuiCol_HeaderActive] = ink4(colours.raised);
    c[ImGuiCol_TableHeaderBg] = ink4(colours.panel);
    c[ImGuiCol_TableBorderLight] = c[ImGuiCol_TableBorderStrong] = ink4(colours.grid);
    c[ImGuiCol_TableRowBgAlt] = ink4(with_alpha(colours.panel, 0.6));
    c[ImGuiCol_ScrollbarBg] = ImVec4(0, 0, 0, 0);
    c[ImGuiCol_ScrollbarGrab] = ink4(colours.border);
    c[ImGuiCol_ScrollbarGrabHovered] = c[ImGuiCol_ScrollbarGrabActive] = ink4(colours.dim);
    c[ImGuiCol_CheckMark] = ink4(colours.text);
    c[ImGuiCol_TextSelectedBg] = ink4(with_alpha(colours.missing, 0.5));
    c[ImGuiCol_Separator] = ink4(colours.border);
    c[ImGuiCol_NavHighlight] = ink4(colours.missing);
    c[ImGuiCol_ModalWindowDimBg] = ink4(with_alpha(colours.ground, 0.6));
}

void begin_area(const char* name, const Rect& rect, ImGuiWindowFlags flags) {
    ImGui::SetCursorScreenPos(ImVec2(rect.x, rect.y));
    ImGui::BeginChild(name, ImVec2(rect.width, rect.height), false, flags);
}

void tip(const char* text) {
    if (text == nullptr || *text == '\0') return;
    if (!ImGui::IsItemHovered(ImGuiHoveredFlags_AllowWhenDisabled)) return;
    ImGui::BeginTooltip();
    ImGui::PushTextWrapPos(24.0f * ImGui::GetFontSize());
    ImGui::TextUnformatted(text);
    ImGui::PopTextWrapPos();
    ImGui::EndTooltip();
}

void note_item(const Brush& brush, const std::string& name) {
    const ImVec2 low = ImGui::GetItemRectMin(), high = ImGui::GetItemRectMax();
    brush.places.note(name, low.x, low.y, high.x - low.x, high.y - low.y);
}

std::string visible_part(const std::string& label) {
    return label.substr(0, label.find("##"));
}

bool button(const Brush& brush, const char* label, const char* text, bool active) {
    if (active) {
        ImGui::PushStyleColor(ImGuiCol_Button, ink4(brush.colours.raised));
        ImGui::PushStyleColor(ImGuiCol_Border, ink4(brush.colours.text));
    }
    const bool pressed = ImGui::Button(label);
    if (active) ImGui::PopStyleColor(2);
    note_item(brush, visible_part(label));
    tip(text);
    return pressed;
}

bool menu_line(const Brush& brush, const char* label, const char* key, bool chosen, bool enabled) {
    const bool pressed = ImGui::MenuItem(label, key, chosen, enabled);
    note_item(brush, visible_part(label));
    return pressed;
}

bool list_line(const Brush& brush, const std::string& label, bool chosen) {
    const bool pressed = ImGui::Selectable(label.c_str(), chosen);
    note_item(brush, visible_part(label));
    return pressed;
}

bool table_row(const std::string& label, bool chosen) {
    const bool activated = ImGui::Selectable(label.c_str(), chosen, ImGuiSelectableFlags_SpanAllColumns);
    const bool by_key = activated && !ImGui::IsMouseReleased(ImGuiMouseButton_Left);
    return by_key || ImGui::IsItemClicked(ImGuiMouseButton_Left);
}

float text_within(const Brush& brush, ImFont* font, ImVec2 at, float width, Colour colour, const std::string& text) {
    ImDrawList* list = ImGui::GetWindowDrawList();
    const auto width_of = [&](const char* end) {
        return font->CalcTextSizeA(font->FontSize, FLT_MAX, 0.0f, text.c_str(), end).x;
    };
    (void)brush;
    const char* end = text.c_str() + text.size();
    const float whole = width_of(end);
    if (whole <= width) {
        list->AddText(font, font->FontSize, at, ink(colour), text.c_str(), end);
        return whole;
    }
    const char* dots = "…";
    const float dots_width = font->CalcTextSizeA(font->FontSize, FLT_MAX, 0.0f, dots).x;
    std::size_t fits = 0, step = 1;
    while (step * 2 <= text.size()) step *= 2;
    for (; step > 0; step /= 2)
        if (fits + step <= text.size() && width_of(text.c_str() + fits + step) + dots_width <= width) fits += step;
    while (fits > 0 && (static_cast<unsigned char>(text[fits]) & 0xC0) == 0x80) --fits;
    const std::string cut = text.substr(0, fits) + dots;
    list->AddText(font, font->FontSize, at, ink(colour), cut.c_str());
    return width;
}

void tone_mark(ImDrawList* list, ImVec2 at, float radius, tones::Origin origin, const Palette& colours, bool selected) {
    const ImU32 fill = ink(origin == tones::Origin::board ? colours.board : colours.other);
    const ImU32 ground = ink(colours.ground);
    const float r = radius, t = std::max(1.0f, 0.25f * radius);
    switch (origin) {
        case tones::Origin::board:
            list->AddCircleFilled(at, r + t, ground);
            list->AddCircleFilled(at, r, fill);
            break;
        case tones::Origin::room:
            list->AddRectFilled(ImVec2(at.x - r, at.y - r), ImVec2(at.x + r, at.y + r), fill);
            break;
        case tones::Origin::mains:
            list->AddTriangleFilled(ImVec2(at.x - r, at.y + r), ImVec2(at.x + r, at.y + r), ImVec2(at.x, at.y - r),
                                    fill);
            break;
        case tones::Origin::unsure:
            list->AddQuad(ImVec2(at.x - r, at.y), ImVec2(at.x, at.y - r), ImVec2(at.x + r, at.y),
                          ImVec2(at.x, at.y + r), fill, t);
            break;
    }
    if (selected) list->AddCircle(at, r + 3.0f * t, ink(colours.selected), 0, 1.5f * t);
}

void check_mark(ImDrawList* list, ImVec2 at, float size, ImU32 colour) {
    const float thick = std::max(1.5f, 0.16f * size);
    const ImVec2 points[] = {
        {at.x, at.y + 0.5f * size}, {at.x + 0.35f * size, at.y + 0.85f * size}, {at.x + size, at.y + 0.1f * size}};
    list->AddPolyline(points, 3, colour, 0, thick);
}

}  // namespace tattletone::window
