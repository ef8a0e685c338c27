#include "base/text/printable.h"

#include <algorithm>
#include <cstdio>
#include <iterator>

#include "base/text/utf8.h"

namespace tattletone::base {
namespace {

struct Span {
    std::uint32_t first, last;
};

// Default_Ignorable_Code_Point of Unicode 15 (DerivedCoreProperties.txt) but for the joiners and U+FE00 to U+FE0F,
// with the marks and separators of the bidirectional algorithm and of lines, and interlinear annotation.
constexpr Span written_out[] = {
    {0x00AD, 0x00AD}, {0x034F, 0x034F}, {0x061C, 0x061C}, {0x115F, 0x1160},   {0x17B4, 0x17B5},   {0x180B, 0x180F},
    {0x200B, 0x200B}, {0x200E, 0x200F}, {0x2028, 0x202E}, {0x2060, 0x206F},   {0x3164, 0x3164},   {0xFDD0, 0xFDEF},
    {0xFEFF, 0xFEFF}, {0xFFA0, 0xFFA0}, {0xFFF0, 0xFFFB}, {0x1BCA0, 0x1BCA3}, {0x1D173, 0x1D17A}, {0xE0000, 0xE0FFF},
};

bool is_selector(std::uint32_t code) {
    return code >= 0xFE00 && code <= 0xFE0F;
}
bool is_joiner(std::uint32_t code) {
    return code == 0x200C || code == 0x200D;
}

// Beside such a character a joiner or a selector does what it is there for.
bool takes_joiners(Utf8Character character) {
    return character.bytes > 1 && !must_be_written_out(character.code) && !is_joiner(character.code);
}

std::string written(std::uint32_t code) {
    if (code == '\n') return "\\n";
    if (code == '\r') return "\\r";
    if (code == '\t') return "\\t";
    char text[16];
    std::snprintf(text, sizeof text,
                  code < 0x80      ? "\\x%02x"
                  : code < 0x10000 ? "\\u%04x"
                                   : "\\U%08x",
                  static_cast<unsigned>(code));
    return text;
}

std::string written_byte(char byte) {
    char text[8];
    std::snprintf(text, sizeof text, "\\x%02x", static_cast<unsigned>(static_cast<unsigned char>(byte)));
    return text;
}

struct Kept {
    bool lines = false, bold = false, bold_is_shown = false;
};

std::string shown(std::string_view text, Kept kept) {
    std::string safe;
    safe.reserve(text.size());
    Utf8Character before;
    bool bold_open = false;
    for (std::size_t at = 0; at < text.size();) {
        const std::string_view rest = text.substr(at);
        if (kept.bold && (rest.starts_with(begin_bold) || rest.starts_with(end_bold))) {
            const std::string_view mark = rest.starts_with(begin_bold) ? begin_bold : end_bold;
            bold_open = mark == begin_bold && kept.bold_is_shown;
            if (kept.bold_is_shown) safe += mark;
            at += mark.size();
            before = {};
            continue;
        }
        const Utf8Character character = utf8_character(text, at);
        const std::string_view as_it_is = text.substr(at, std::max<std::size_t>(character.bytes, 1));
        const Utf8Character after = utf8_character(text, at + as_it_is.size());
        bool stays = character.bytes > 0 && !must_be_written_out(character.code);
        if (stays && is_selector(character.code)) stays = takes_joiners(before) && !is_selector(before.code);
        if (stays && is_joiner(character.code))
            stays = takes_joiners(before) && takes_joiners(after) && !is_selector(after.code);
        if (kept.lines) stays = stays || character.code == '\n' || rest.starts_with("\r\n");
        if (character.bytes == 0)
            safe += written_byte(text[at]);
        else if (stays)
            safe += as_it_is;
        else
            safe += written(character.code);
        before = stays ? character : Utf8Character{};
        at += as_it_is.size();
    }
    if (bold_open) safe += end_bold;
    return safe;
}

}  // namespace

bool must_be_written_out(std::uint32_t code) {
    if (code < 0x20 || (code >= 0x7F && code < 0xA0) || (code & 0xFFFE) == 0xFFFE) return true;
    const auto span = std::find_if(std::begin(written_out), std::end(written_out),
                                   [code](const Span& candidate) { return code <= candidate.last; });
    return span != std::end(written_out) && code >= span->first;
}

std::string printable(std::string_view text) {
    return shown(text, {});
}

std::string briefly(std::string_view text) {
    constexpr std::size_t most_characters = 40;
    std::size_t end = 0;
    for (std::size_t i = 0; i < most_characters && end < text.size(); ++i)
        end += std::max<std::size_t>(utf8_character(text, end).bytes, 1);
    return printable(text.substr(0, end)) + (end < text.size() ? "…" : "");
}

std::string printable_lines(std::string_view text) {
    return shown(text, {true, false, false});
}

std::string printable_layout(std::string_view text, bool bold) {
    return shown(text, {true, true, bold});
}

}  // namespace tattletone::base
