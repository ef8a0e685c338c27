#pragma once

#include <cstdio>
#include <string>

/// Sentences that several decoders use.
namespace tattletone::sound::notice_text {

inline std::string seconds(double value) {
    char text[32];
    std::snprintf(text, sizeof text, value < 100.0 ? "%.2f s" : "%.0f s", value);
    return text;
}

inline std::string nonsense(double count) {
    char text[160];
    std::snprintf(text, sizeof text, "%.0f %s (NaN or infinite), or more than 18 dB over full scale; %s taken as zero.",
                  count, count == 1.0 ? "sample is no number" : "samples are no numbers",
                  count == 1.0 ? "it was" : "they were");
    return text;
}

inline std::string shorter_than_promised(double have, double promised) {
    return "The clip is cut off: its header promises " + seconds(promised) + ", " + seconds(have) +
           " are there and were used.";
}

inline std::string broken_off(double have) {
    return "Reading failed after " + seconds(have) + "; what was read until then was used.";
}

}  // namespace tattletone::sound::notice_text
