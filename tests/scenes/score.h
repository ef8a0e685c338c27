#pragma once

#include <array>
#include <cstdint>
#include <map>
#include <string>
#include <vector>

#include "match/findings.h"
#include "support/names.h"
#include "support/scene.h"

namespace tattletone::scenes {

/// How the program did on one scene.
struct Judged {
    std::uint64_t seed = 0;
    SceneKind kind = SceneKind::culprit;
    bool has_culprit = false;
    Timing timing = Timing::crystal;  ///< of the first culprit
    double strongest_db = 0.0;
    bool named = false;                              ///< the top suspect sings and has 0.5 or more
    bool listed_first = false;                       ///< the top suspect sings, however sure
    bool accused_falsely = false;                    ///< quiet or undeclared, and some rate has 0.5 or more
    std::vector<std::pair<double, bool>> forecasts;  ///< of every declared rate: probability, does it sing
    double steady_found = 0.0;                       ///< true steady lines found
    double steady_expected = 0.0;                    ///< those that the full-length periodogram would find, on average
    double audible = 0.0;   ///< chance that it would find a line of a culprit, were all of them steady
    std::string complaint;  ///< one line where something went wrong
    std::string details;    ///< the true lines, and what was found near each and made of it
};

/// The whole chain: tones of each take and of the room, one list of them, the match.
Findings examine(const Scene& scene);
/// A line a tone, with what it was made of: for those who mend the finder or the match.
std::string tones_text(const Findings& findings);
Judged judge(const Scene& scene);

/// Scenes first_seed … first_seed + count - 1 on two threads; the order and the result do not depend on them.
std::vector<Judged> judge_scenes(std::uint64_t first_seed, int count, const Assumptions& assumptions);

struct Share {
    int yes = 0, of = 0;
    void add(bool hit) { yes += hit, ++of; }
    double value() const { return of > 0 ? static_cast<double>(yes) / of : 0.0; }
};

/// Of the forecasts in one tenth: how many, their mean, and the share that came true.
struct Bin {
    int count = 0;
    double mean_forecast = 0.0, share_true = 0.0;
};

struct Score {
    Share named, both_named, listed_first, false_accusations;  ///< both: of scenes with two culprits
    std::map<std::string, Share> named_by_timing, named_by_level, false_by_kind;
    double brier = 0.0;
    int forecasts = 0;
    std::array<Bin, 10> bins;
    double calibration_error = 0.0;  ///< mean over forecasts of |mean forecast - share true| of their bin
    double steady_found_over_expected = 0.0;
    double audible = 0.0;  ///< mean over scenes with a culprit: nobody can be named without a line
};

Score summarise(const std::vector<Judged>& judged);
std::string to_text(const Score& score);
std::string to_json(const Score& score);

}  // namespace tattletone::scenes
