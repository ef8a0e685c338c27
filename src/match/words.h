#pragma once

#include <algorithm>
#include <array>
#include <optional>
#include <string>
#include <string_view>

#include "match/findings.h"

namespace tattletone::match {

/// The words of the enums that findings hold, in the order of the enums' values: what the JSON and the logbook
/// write and read, and what reports print. A stored word lives as long as somebody's logbook: never change one.
inline constexpr std::array kind_words = {"harmonic", "subharmonic", "sideband", "image", "beat"};
inline constexpr std::array origin_words = {"board", "room", "mains", "unsure"};
inline constexpr std::array verdict_words = {"named", "unknown", "quiet"};
inline constexpr std::array trial_words = {"state",  "part off", "moved rate", "sample rate", "room",
                                           "longer", "load",     "press",      "warm"};
inline constexpr std::array effect_words = {"stays",         "goes",       "moves",  "drifts",
                                            "changes level", "is in room", "appears"};

inline std::string kind_word(board::LineKind kind) {
    return kind_words.at(static_cast<std::size_t>(kind));
}
inline std::string origin_word(tones::Origin origin) {
    return origin_words.at(static_cast<std::size_t>(origin));
}
inline std::string verdict_word(Verdict verdict) {
    return verdict_words.at(static_cast<std::size_t>(verdict));
}
inline std::string trial_word(Trial trial) {
    return trial_words.at(static_cast<std::size_t>(trial));
}
inline std::string effect_word(Forecast::Effect effect) {
    return effect_words.at(static_cast<std::size_t>(effect));
}

/// The value that `word` stands for, by the words of its enum; none where it is not among them.
template <class Value, std::size_t count>
std::optional<Value> value_of(const std::array<const char*, count>& words, std::string_view word) {
    const auto found = std::find(words.begin(), words.end(), word);
    if (found == words.end()) return std::nullopt;
    return static_cast<Value>(found - words.begin());
}

}  // namespace tattletone::match
