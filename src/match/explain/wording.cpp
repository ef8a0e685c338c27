#include "match/explain/wording.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <iterator>
#include <string_view>
#include <utility>

#include "base/text/number.h"

namespace tattletone::match {
namespace {

std::string printed(const char* format, double value) {
    char text[64];
    std::snprintf(text, sizeof text, format, value);
    return text;
}

}  // namespace

std::string ordinal(int n) {
    const int last = n % 10, tens = n % 100;
    const char* end = "th";
    if (tens < 11 || tens > 13) end = last == 1 ? "st" : last == 2 ? "nd" : last == 3 ? "rd" : "th";
    return std::to_string(n) + end;
}

std::string as_hz(double hz) {
    return printed(hz < 1000.0 ? "%.2f Hz" : hz < 10000.0 ? "%.1f Hz" : "%.0f Hz", hz);
}

std::string as_declared(double hz) {
    return base::trimmed(hz, 4) + " Hz";
}

std::string as_relative(double relative, bool signs) {
    const double size = std::abs(relative);
    if (size < 0.001) {
        const double ppm = relative * 1e6;
        const bool small = std::abs(ppm) < 9.95;
        return printed(signs ? (small ? "%+.1f ppm" : "%+.0f ppm") : (small ? "%.3g ppm" : "%.0f ppm"), ppm);
    }
    return printed(signs ? "%+.2g %%" : "%.3g %%", relative * 100.0);
}

std::string joined(const std::vector<std::string>& words) {
    std::string text;
    for (std::size_t i = 0; i < words.size(); ++i)
        text += (i == 0 ? "" : i + 1 == words.size() ? " and " : ", ") + words[i];
    return text;
}

std::string line_text(const board::LineText& text, const LineName& line) {
    const int size = std::abs(line.order);
    const std::pair<std::string_view, std::string> values[] = {
        {"{n}", std::to_string(line.order)},
        {"{+n}", (line.order > 0 ? "+" : "") + std::to_string(line.order)},
        {"{nth}", ordinal(line.order)},
        {"{sign}", line.order > 0 ? "+" : "-"},
        {"{size}", std::to_string(size)},
        {"{side}", (line.order > 0 ? "upper" : "lower") + (size > 1 ? " " + ordinal(size) : "")},
        {"{carrier}", std::to_string(line.carrier)},
        {"{carrier-th}", ordinal(line.carrier)},
        {"{rate}", line.rate},
        {"{other}", line.other},
    };
    const std::string_view pattern = line.order == 1 && text.first != nullptr ? text.first : text.any;
    std::string told;
    for (std::size_t at = 0; at < pattern.size();) {
        const std::string_view rest = pattern.substr(at);
        const auto value = std::find_if(std::begin(values), std::end(values),
                                        [&](const auto& known) { return rest.starts_with(known.first); });
        told += value == std::end(values) ? std::string(1, rest[0]) : value->second;
        at += value == std::end(values) ? 1 : value->first.size();
    }
    return told;
}

}  // namespace tattletone::match
