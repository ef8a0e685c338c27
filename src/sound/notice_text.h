#pragma once

#include <cstdio>
#include <string>

/// Sentences that several decoders use.
namespace tattletone::notice_text {

inline std::string seconds(double value) {
    char text[32];
    std::snprintf(text, sizeof text, value < 100.0 ? "%.2f s" : "%.0f s", value);
    return text;
}

inline std::string shorter_than_promised(double have, double promised) {
    return "The clip is cut off: its header promises " + seconds(promised) + ", " + seconds(have) +
           " are there and were used.";
}

inline std::string broken_off(double have) {
    return "Reading failed after " + seconds(have) + "; what was read until then was used.";
}

}  // namespace tattletone::notice_text
