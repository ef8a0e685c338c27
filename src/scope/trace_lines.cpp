#include "scope/trace_lines.h"

#include <algorithm>

namespace tattletone::scope {
namespace {

constexpr std::size_t block_bytes = 1 << 16;
constexpr std::size_t longest_line = 1 << 16;

void append_utf8(std::string& text, unsigned code) {
    if (code < 0x80) {
        text += static_cast<char>(code);
    } else if (code < 0x800) {
        text += static_cast<char>(0xC0 | code >> 6);
        text += static_cast<char>(0x80 | (code & 0x3F));
    } else if (code < 0x10000) {
        text += static_cast<char>(0xE0 | code >> 12);
        text += static_cast<char>(0x80 | (code >> 6 & 0x3F));
        text += static_cast<char>(0x80 | (code & 0x3F));
    } else {
        text += static_cast<char>(0xF0 | code >> 18);
        text += static_cast<char>(0x80 | (code >> 12 & 0x3F));
        text += static_cast<char>(0x80 | (code >> 6 & 0x3F));
        text += static_cast<char>(0x80 | (code & 0x3F));
    }
}

}  // namespace

void TraceLines::append_utf16(std::string_view raw) {
    carried_ += raw;
    const std::size_t high_byte = coding_ == Coding::utf16_big ? 0 : 1;
    std::size_t i = 0;
    for (; i + 1 < carried_.size(); i += 2) {
        const unsigned unit = static_cast<unsigned>(static_cast<unsigned char>(carried_[i + high_byte])) << 8 |
                              static_cast<unsigned char>(carried_[i + 1 - high_byte]);
        if (unit >= 0xD800 && unit < 0xDC00) {
            high_ = unit;
        } else if (unit >= 0xDC00 && unit < 0xE000) {
            append_utf8(block_, high_ != 0 ? 0x10000 + ((high_ - 0xD800) << 10) + (unit - 0xDC00) : 0xFFFD);
            high_ = 0;
        } else {
            append_utf8(block_, unit);
        }
    }
    carried_.erase(0, i);
}

bool TraceLines::fill() {
    if (ended_) return false;
    block_.erase(0, at_);
    at_ = 0;
    raw_.resize(block_bytes);
    const std::size_t count = bytes_.read(raw_.data(), raw_.size());
    ended_ = count < raw_.size();
    std::string_view raw(raw_.data(), count);
    if (coding_ == Coding::unknown) {
        coding_ = Coding::bytes;
        if (raw.starts_with("\xEF\xBB\xBF")) raw.remove_prefix(3);
        const bool pair = raw.size() >= 2;
        if (pair && (raw.starts_with("\xFF\xFE") || (raw[0] != '\0' && raw[1] == '\0'))) coding_ = Coding::utf16_little;
        if (pair && (raw.starts_with("\xFE\xFF") || (raw[0] == '\0' && raw[1] != '\0'))) coding_ = Coding::utf16_big;
        if (raw.starts_with("\xFF\xFE") || raw.starts_with("\xFE\xFF")) raw.remove_prefix(2);
    }
    if (coding_ == Coding::bytes) {
        block_ += raw;
    } else {
        append_utf16(raw);
    }
    text_ = text_ && block_.find('\0') == std::string::npos;
    return count > 0 && text_;
}

bool TraceLines::next(std::string_view& line) {
    std::size_t searched = 0;
    for (;;) {
        if (end_ == '\0' && !block_.empty()) end_ = block_.find('\n') != std::string::npos ? '\n' : '\r';
        std::size_t end = block_.find(end_, at_ + searched);
        if (end == std::string::npos) {
            searched = block_.size() - at_;
            text_ = text_ && searched <= longest_line;
            if (text_ && fill()) continue;
            if (!text_ || at_ >= block_.size()) return false;
            end = block_.size();
        }
        line = std::string_view(block_).substr(at_, end - at_);
        if (line.ends_with('\r')) line.remove_suffix(1);
        at_ = std::min(end + 1, block_.size());
        ++number_;
        return true;
    }
}

}  // namespace tattletone::scope
