#pragma once

#include <map>
#include <string>
#include <vector>

#include "board/lines.h"
#include "match/experiments/experiment.h"
#include "match/model/spots.h"
#include "tones/join/unit_tones.h"

namespace tattletone::match {

struct Explanation {
    std::string rate;  ///< full name
    board::LineKind kind = board::LineKind::harmonic;
    int order = 1;
    std::string other;         ///< full name of the other rate, empty where there is none
    double expected_hz = 0.0;  ///< the line at the declared rates
    double offset_hz = 0.0;    ///< tone minus expected
    double probability = 0.0;
};

struct Suspect {
    std::string rate;  ///< full name
    std::string part_name;
    double probability = 0.0;          ///< that this rate is singing in these recordings
    std::vector<int> tones;            ///< ids, those that it explains with 0.5 or more
    std::vector<std::string> reasons;  ///< plain sentences, the weightiest first
    bool outside_tolerance = false;    ///< it fits only outside the declared tolerance: is the setting taking effect?
};

/// One way in which the tones may have come about: which declared rate makes which of them.
struct Attribution {
    struct Made {
        int tone = 0;  ///< id
        int rate = 0;  ///< index into BoardSheet::rates
        board::LineKind kind = board::LineKind::harmonic;
        int order = 1;
        int other = -1;               ///< sideband, beat: the other rate
        double slope_hz = 0.0;        ///< how far the tone moves when the rate moves by its whole value
        double other_slope_hz = 0.0;  ///< the same for the other rate
        bool operator==(const Made&) const = default;
    };
    double probability = 0.0;
    std::vector<Made> made;  ///< in order of tones; tones that are not in it: nobody declared
};

enum class Verdict { named, unknown, quiet };

/// The answer. `explained_by[id]` holds, for a tone, explanations of 0.01 or more, the likeliest first;
/// they sum to at most 1 and the rest is 'none of the declared rates'.
struct Findings {
    tones::UnitTones unit;
    std::string board;              ///< name and revision, empty without a sheet
    std::vector<Suspect> suspects;  ///< every rate at 0.01 or more, the likeliest first
    std::map<int, std::vector<Explanation>> explained_by;
    Verdict verdict = Verdict::quiet;
    double undeclared_probability = 0.0;  ///< that a board tone is there which no declared rate explains
    double card_error_ppm = 0.0;          ///< of the sound card's clock, mean of what the tones say
    double card_error_ppm_sd = 50.0;
    std::vector<std::string> card_error_from;  ///< tight rates that pin it; empty: nothing does
    std::vector<Attribution> attributions;     ///< probabilities sum to 1; the likeliest first; empty without a sheet
    std::vector<Experiment> next;              ///< that which tells most per minute of effort first
    std::vector<std::string> outcomes;         ///< what became of the tones where something was changed
    std::vector<std::string> notices;          ///< what the match did not look into: whole sentences
    std::map<int, SpotComparison> spots;       ///< by tone, where takes at two spots or more can tell
};

}  // namespace tattletone::match
