#include "base/text/json_writer.h"

#include <cmath>
#include <cstdio>

#include "base/text/number.h"
#include "base/text/printable.h"
#include "base/text/utf8.h"

namespace tattletone::base {
namespace {

// RFC 8259 asks for the control characters below U+0020. The others that a terminal must not get are escaped too,
// so that the line may be shown as it is; a reader gets the same text either way.
bool must_be_escaped(std::uint32_t code) {
    return must_be_written_out(code) || (code >= 0x200C && code <= 0x200D) || (code >= 0xFE00 && code <= 0xFE0F);
}

std::string escaped_code(std::uint32_t code) {
    char text[16];
    if (code < 0x10000)
        std::snprintf(text, sizeof text, "\\u%04x", static_cast<unsigned>(code));
    else
        std::snprintf(text, sizeof text, "\\u%04x\\u%04x", static_cast<unsigned>(0xD800 + ((code - 0x10000) >> 10)),
                      static_cast<unsigned>(0xDC00 + ((code - 0x10000) & 0x3FF)));
    return text;
}

std::string escaped(std::string_view value) {
    const std::string clean = clean_utf8(value);
    std::string text = "\"";
    for (std::size_t at = 0; at < clean.size();) {
        const Utf8Character character = utf8_character(clean, at);
        if (character.code == '"' || character.code == '\\') text += '\\';
        if (must_be_escaped(character.code))
            text += escaped_code(character.code);
        else
            text += clean.substr(at, character.bytes);
        at += character.bytes;
    }
    return text + '"';
}

}  // namespace

JsonWriter& JsonWriter::raw(std::string_view value) {
    if (comma_) text_ += ", ";
    text_ += value;
    comma_ = true;
    return *this;
}

JsonWriter& JsonWriter::open(char bracket) {
    raw(std::string_view(&bracket, 1));
    comma_ = false;
    return *this;
}

JsonWriter& JsonWriter::close(char bracket) {
    text_ += bracket;
    comma_ = true;
    return *this;
}

JsonWriter& JsonWriter::key(std::string_view name) {
    raw(escaped(name));
    text_ += ": ";
    comma_ = false;
    return *this;
}

JsonWriter& JsonWriter::text(std::string_view value) {
    return raw(escaped(value));
}

JsonWriter& JsonWriter::text_or_null(std::string_view value) {
    return value.empty() ? null() : text(value);
}

JsonWriter& JsonWriter::integer(long long value) {
    return raw(std::to_string(value));
}

JsonWriter& JsonWriter::real(double value, int decimals) {
    if (!std::isfinite(value)) return null();
    std::string number = trimmed(value, decimals);
    if (number.find('.') == std::string::npos) number += ".0";
    return raw(number);
}

JsonWriter& JsonWriter::whole_or_real(double value, int decimals) {
    return std::isfinite(value) ? raw(trimmed(value, decimals)) : null();
}

JsonWriter& JsonWriter::boolean(bool value) {
    return raw(value ? "true" : "false");
}

JsonWriter& JsonWriter::null() {
    return raw("null");
}

JsonWriter& JsonWriter::texts(const std::vector<std::string>& values) {
    open('[');
    for (const std::string& value : values) text(value);
    return close(']');
}

JsonWriter& JsonWriter::parts(const JsonParts& parts) {
    for (const JsonPart& part : parts) key(part.key).raw(part.json);
    return *this;
}

}  // namespace tattletone::base
