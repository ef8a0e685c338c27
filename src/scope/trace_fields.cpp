#include "scope/trace_fields.h"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

#include "base/text/lower_case.h"

namespace tattletone::scope {
namespace {

bool is_any_of(const std::string& text, std::initializer_list<const char*> words) {
    return std::find(words.begin(), words.end(), text) != words.end();
}

Field word_field(std::string_view text) {
    std::string word = base::lower_case(text);
    double sign = 1.0;
    if (!word.empty() && (word[0] == '+' || word[0] == '-') && word.size() > 1 && word[1] != '-') {
        sign = word[0] == '-' ? -1.0 : 1.0;
        word.erase(0, 1);
    }
    const double infinity = std::numeric_limits<double>::infinity();
    if (is_any_of(word, {"ol", "ovl", "ovr", "over", "overload", "overrange", "over range", "clip", "clipped",
                         "\xE2\x88\x9E", "1.#inf", "inf", "infinity"}))
        return {FieldKind::over_range, sign * infinity};
    if (is_any_of(word, {"-", "--", "---", "n/a", "na", "nan", "null", "none", "invalid", "?"}) ||
        word.starts_with("1.#") || (!word.empty() && word.find_first_not_of('*') == std::string::npos))
        return {FieldKind::missing};
    return {};
}

}  // namespace

std::string_view trimmed_field(std::string_view text) {
    const auto drop = [](char c) { return c == ' ' || c == '\t' || c == '"' || c == '\''; };
    while (!text.empty() && drop(text.front())) text.remove_prefix(1);
    while (!text.empty() && drop(text.back())) text.remove_suffix(1);
    return text;
}

void split_row(std::string_view line, char separator, std::vector<std::string_view>& fields) {
    fields.clear();
    if (separator == ' ') {
        for (std::size_t at = line.find_first_not_of(" \t"); at != std::string_view::npos;) {
            const std::size_t end = line.find_first_of(" \t", at);
            fields.push_back(line.substr(at, end == std::string_view::npos ? end : end - at));
            at = end == std::string_view::npos ? end : line.find_first_not_of(" \t", end);
        }
        return;
    }
    for (std::size_t at = 0;;) {
        const std::size_t end = line.find(separator, at);
        fields.push_back(line.substr(at, end == std::string_view::npos ? end : end - at));
        if (end == std::string_view::npos) return;
        at = end + 1;
    }
}

Field read_field(std::string_view text, char decimal) {
    text = trimmed_field(text);
    if (text.empty()) return {FieldKind::missing};
    std::string_view digits = text;
    if (digits[0] == '+') digits.remove_prefix(1);
    if (digits.empty() || digits.size() > 60) return {};
    const char sign_or_digit = digits[0] == '-' && digits.size() > 1 ? digits[1] : digits[0];
    if ((sign_or_digit < '0' || sign_or_digit > '9') && sign_or_digit != decimal) return word_field(text);
    char copy[64];
    if (decimal != '.') {
        for (std::size_t i = 0; i < digits.size(); ++i) {
            if (digits[i] == '.') return {};
            copy[i] = digits[i] == decimal ? '.' : digits[i];
        }
        digits = {copy, digits.size()};
    }
    double value = 0.0;
    const auto end = std::from_chars(digits.data(), digits.data() + digits.size(), value);
    if (end.ec == std::errc::result_out_of_range) {
        value = 0.0;
        if (digits.find("e-") == std::string_view::npos && digits.find("E-") == std::string_view::npos) return {};
    } else if (end.ec != std::errc()) {
        return {};
    }
    const std::string_view rest = trimmed_field(digits.substr(static_cast<std::size_t>(end.ptr - digits.data())));
    if (!rest.empty()) {
        const auto unit = read_unit(rest);
        if (!unit) return rest[0] == '#' ? word_field(text) : Field{};
        value *= unit->scale;
    }
    if (std::abs(value) > 9.0e37) {
        if (std::abs(value) > 9.905e37) return {FieldKind::missing};
        return {FieldKind::over_range, std::copysign(std::numeric_limits<double>::infinity(), value)};
    }
    return {FieldKind::number, value};
}

std::optional<ScaledUnit> read_unit(std::string_view text) {
    text = trimmed_field(text);
    while (!text.empty() && (text.front() == '(' || text.front() == '[')) text.remove_prefix(1);
    while (!text.empty() && (text.back() == ')' || text.back() == ']')) text.remove_suffix(1);
    text = trimmed_field(text);
    static constexpr std::array<std::pair<std::string_view, double>, 8> prefixes{{{"", 1.0},
                                                                                  {"m", 1e-3},
                                                                                  {"u", 1e-6},
                                                                                  {"\xC2\xB5", 1e-6},
                                                                                  {"\xCE\xBC", 1e-6},
                                                                                  {"\xB5", 1e-6},
                                                                                  {"n", 1e-9},
                                                                                  {"k", 1e3}}};
    static constexpr std::array<std::pair<std::string_view, std::string_view>, 14> bases{{{"s", "s"},
                                                                                          {"S", "s"},
                                                                                          {"sec", "s"},
                                                                                          {"Sec", "s"},
                                                                                          {"second", "s"},
                                                                                          {"Second", "s"},
                                                                                          {"seconds", "s"},
                                                                                          {"Seconds", "s"},
                                                                                          {"V", "V"},
                                                                                          {"volt", "V"},
                                                                                          {"Volt", "V"},
                                                                                          {"volts", "V"},
                                                                                          {"Volts", "V"},
                                                                                          {"A", "A"}}};
    for (const auto& [prefix, scale] : prefixes) {
        if (!text.starts_with(prefix)) continue;
        for (const auto& [name, base] : bases)
            if (text.substr(prefix.size()) == name) return ScaledUnit{scale, std::string(base)};
    }
    if (text == "ps") return ScaledUnit{1e-12, "s"};
    return {};
}

}  // namespace tattletone::scope
