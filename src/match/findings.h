#pragma once

#include <map>
#include <string>
#include <vector>

#include "board/lines.h"
#include "tones/unit_tones.h"

namespace tattletone {

struct Explanation {
    std::string rate;                    ///< full name
    LineKind kind = LineKind::harmonic;
    int order = 1;
    std::string other;                   ///< full name of the other rate, empty where there is none
    double expected_hz = 0.0;            ///< the line at the declared rates
    double offset_hz = 0.0;              ///< tone minus expected
    double probability = 0.0;
};

struct Suspect {
    std::string rate;                    ///< full name
    std::string part_name;
    double probability = 0.0;            ///< that this rate is singing in these recordings
    std::vector<int> tones;              ///< ids, those that it explains with 0.5 or more
    std::vector<std::string> reasons;    ///< plain sentences, the weightiest first
};

enum class Verdict { named, unknown, quiet };

/// The answer. `explained_by[id]` holds, for a tone, explanations of 0.01 or more, the likeliest first;
/// they sum to at most 1 and the rest is 'none of the declared rates'.
struct Findings {
    UnitTones unit;
    std::string board;                   ///< name and revision, empty without a sheet
    std::vector<Suspect> suspects;       ///< every rate at 0.01 or more, the likeliest first
    std::map<int, std::vector<Explanation>> explained_by;
    Verdict verdict = Verdict::quiet;
    double undeclared_probability = 0.0; ///< that a board tone is there which no declared rate explains
    double card_error_ppm = 0.0;         ///< of the sound card's clock, mean of what the tones say
    double card_error_ppm_sd = 50.0;
};

}  // namespace tattletone
