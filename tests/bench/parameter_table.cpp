#include "bench/parameter_table.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>

namespace tattletone::bench {
namespace {

constexpr std::size_t columns = 100;

std::string printed(const char* format, double value) {
    char text[40];
    std::snprintf(text, sizeof text, format, value);
    return text;
}

std::string range_of(const ParameterEntry& entry) {
    return printed("%.4g", value_at(entry, -search_spreads)) + " to " +
           printed("%.4g", value_at(entry, search_spreads));
}

std::string origin_of(const ParameterEntry& entry) {
    if (!entry.fitted()) return std::string("Held: ") + entry.held_by + ".";
    return "Fitted from " + printed("%.4g", entry.start) + ", within " + range_of(entry) + ".";
}

/// As comment lines.
std::string wrapped(const std::string& text) {
    std::string lines, line = "//";
    std::size_t at = 0;
    while (at < text.size()) {
        const std::size_t end = std::min(text.find(' ', at), text.size());
        if (line.size() + 1 + end - at > columns) {
            lines += line + "\n";
            line = "//";
        }
        line += " " + text.substr(at, end - at);
        at = end + 1;
    }
    return lines + line + "\n";
}

double on_scale(Scale scale, double value) {
    switch (scale) {
        case Scale::share:
            return std::log(value / (1.0 - value));
        case Scale::positive:
            return std::log(value);
        case Scale::plain:
            break;
    }
    return value;
}

}  // namespace

double as_printed(double value) {
    return std::strtod(printed("%.4g", value).c_str(), nullptr);
}

double offset_of(const ParameterEntry& entry, double value) {
    return (on_scale(entry.scale, value) - on_scale(entry.scale, entry.start)) / entry.spread;
}

double value_at(const ParameterEntry& entry, double offset) {
    const double at = on_scale(entry.scale, entry.start) + offset * entry.spread;
    switch (entry.scale) {
        case Scale::share:
            return 1.0 / (1.0 + std::exp(-at));
        case Scale::positive:
            return std::exp(at);
        case Scale::plain:
            break;
    }
    return at;
}

MatchParameters starting_parameters() {
    MatchParameters parameters;
    for (const ParameterEntry& entry : parameter_entries()) parameters.*entry.value = entry.start;
    return parameters;
}

std::string table_text(const MatchParameters& parameters) {
    std::string text =
        "// Written by tests/bench/make_parameters from src/match/model/parameter_entries.cpp: change "
        "that one.\n";
    for (const ParameterEntry& entry : parameter_entries())
        text += wrapped(origin_of(entry)) + "TATTLETONE_PARAMETER(" + entry.name + ", " +
                printed(entry.fitted() ? "%.4g" : "%.10g", parameters.*entry.value) + ")\n";
    return text;
}

}  // namespace tattletone::bench
