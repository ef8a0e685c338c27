#include "match/explain/wording.h"

#include <cmath>
#include <cstdio>
#include <cstdlib>

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

std::string line_words(board::LineKind kind, int order, int carrier, const std::string& other) {
    switch (kind) {
        case board::LineKind::harmonic:
            return order == 1 ? "the rate itself" : "the " + ordinal(order) + " harmonic";
        case board::LineKind::subharmonic:
            return order == 1 ? "half the rate" : std::to_string(order) + "/2 of the rate";
        case board::LineKind::sideband:
            return std::string(order > 0 ? "the upper" : "the lower") +
                   (std::abs(order) > 1 ? " " + ordinal(std::abs(order)) : "") + " sideband of the " +
                   ordinal(carrier) + " harmonic by " + other;
        case board::LineKind::image:
            return "the image of the " + ordinal(order) + " harmonic in the recorder";
        case board::LineKind::beat:
            return "the beat with " + other;
    }
    return "";
}

}  // namespace tattletone::match
