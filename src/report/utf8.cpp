#include "report/utf8.h"

#include <cstdint>

namespace tattletone {
namespace {

struct Character {
    std::uint32_t code = 0;
    std::size_t bytes = 0;  // 0: not well formed
};

// One character by the table of well-formed byte sequences (Unicode 15, table 3-7).
Character character_at(std::string_view text, std::size_t at) {
    const auto byte = [&](std::size_t i) -> unsigned {
        return at + i < text.size() ? static_cast<unsigned char>(text[at + i]) : 0u;
    };
    const unsigned lead = byte(0);
    if (lead < 0x80) return {lead, 1};
    const std::size_t length = lead >= 0xF0 ? 4 : lead >= 0xE0 ? 3 : 2;
    if (lead < 0xC2 || lead > 0xF4) return {};
    std::uint32_t code = lead & (length == 2 ? 0x1Fu : length == 3 ? 0x0Fu : 0x07u);
    for (std::size_t i = 1; i < length; ++i) {
        if ((byte(i) & 0xC0u) != 0x80u) return {};
        code = (code << 6) | (byte(i) & 0x3Fu);
    }
    const bool overlong = (length == 3 && code < 0x800) || (length == 4 && code < 0x10000);
    const bool surrogate = code >= 0xD800 && code <= 0xDFFF;
    if (overlong || surrogate || code > 0x10FFFF) return {};
    return {code, length};
}

bool is_control(std::uint32_t code) {
    return code < 0x20 || (code >= 0x7F && code < 0xA0);
}

bool is_wide(std::uint32_t c) {
    return (c >= 0x1100 && c <= 0x115F) || (c >= 0x2E80 && c <= 0xA4CF) ||
           (c >= 0xAC00 && c <= 0xD7A3) || (c >= 0xF900 && c <= 0xFAFF) ||
           (c >= 0xFE30 && c <= 0xFE6F) || (c >= 0xFF00 && c <= 0xFF60) ||
           (c >= 0xFFE0 && c <= 0xFFE6) || (c >= 0x1F300 && c <= 0x1FAFF) ||
           (c >= 0x20000 && c <= 0x3FFFD);
}

bool is_combining(std::uint32_t c) {
    return (c >= 0x0300 && c <= 0x036F) || c == 0x200B || c == 0xFEFF;
}

std::string cleaned(std::string_view text, bool controls_too) {
    std::string clean;
    clean.reserve(text.size());
    for (std::size_t at = 0; at < text.size();) {
        const Character character = character_at(text, at);
        if (character.bytes == 0)
            clean += "\xEF\xBF\xBD";
        else if (controls_too && is_control(character.code))
            clean += '?';
        else
            clean += text.substr(at, character.bytes);
        at += character.bytes == 0 ? 1 : character.bytes;
    }
    return clean;
}

}  // namespace

std::string clean_utf8(std::string_view text) {
    return cleaned(text, false);
}

std::string printable(std::string_view text) {
    return cleaned(text, true);
}

int display_columns(std::string_view text) {
    int columns = 0;
    for (std::size_t at = 0; at < text.size();) {
        const Character character = character_at(text, at);
        columns += is_combining(character.code) ? 0 : is_wide(character.code) ? 2 : 1;
        at += character.bytes == 0 ? 1 : character.bytes;
    }
    return columns;
}

}  // namespace tattletone
