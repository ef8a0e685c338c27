#include "report/json_writer.h"

#include <cmath>
#include <cstdio>

#include "report/number.h"
#include "report/utf8.h"

namespace tattletone {
namespace {

std::string escaped(std::string_view value) {
    std::string text = "\"";
    for (const char c : clean_utf8(value)) {
        const auto code = static_cast<unsigned char>(c);
        if (c == '"' || c == '\\') {
            text += '\\';
            text += c;
        } else if (code < 0x20 || code == 0x7F) {
            char number[8];
            std::snprintf(number, sizeof number, "\\u%04x", code);
            text += number;
        } else {
            text += c;
        }
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

std::string with_key(const std::string& object, std::string_view key, const std::string& value) {
    return object.substr(0, object.size() - 1) + ", " + escaped(key) + ": " + value + "}";
}

}  // namespace tattletone
