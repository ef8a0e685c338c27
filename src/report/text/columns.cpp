#include "report/text/columns.h"

#include <cstdint>

namespace tattletone::report {
namespace {

bool is_wide(std::uint32_t c) {
    return (c >= 0x1100 && c <= 0x115F) || (c >= 0x2E80 && c <= 0xA4CF) || (c >= 0xAC00 && c <= 0xD7A3) ||
           (c >= 0xF900 && c <= 0xFAFF) || (c >= 0xFE30 && c <= 0xFE6F) || (c >= 0xFF00 && c <= 0xFF60) ||
           (c >= 0xFFE0 && c <= 0xFFE6) || (c >= 0x1F300 && c <= 0x1FAFF) || (c >= 0x20000 && c <= 0x3FFFD);
}

bool is_combining(std::uint32_t c) {
    return (c >= 0x0300 && c <= 0x036F) || (c >= 0x200B && c <= 0x200D) || (c >= 0xFE00 && c <= 0xFE0F) || c == 0xFEFF;
}

}  // namespace

int display_columns(std::string_view text) {
    int columns = 0;
    for (std::size_t at = 0; at < text.size();) {
        const base::Utf8Character character = base::utf8_character(text, at);
        columns += is_combining(character.code) ? 0 : is_wide(character.code) ? 2 : 1;
        at += character.bytes == 0 ? 1 : character.bytes;
    }
    return columns;
}

}  // namespace tattletone::report
