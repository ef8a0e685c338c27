#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "board/sheet/sheet.h"
#include "sound/recording.h"
#include "toggle/plan/plan.h"
#include "toggle/trial/search.h"
#include "toggle/trial/watched.h"
#include "tones/join/unit_tones.h"

namespace tattletone::toggle {

inline constexpr double proven_p = 0.001;

/// What one part's switching does to one watched line.
struct Effect {
    std::size_t line = 0;    ///< index into Trial::lines
    double change_db = 0.0;  ///< level with the part on against off, in a band as narrow as a step resolves
    double change_db_sd = 0.0;
    double low_db = 0.0, high_db = 0.0;  ///< 95 % interval
    double p = 1.0;                      ///< corrected for lines and parts
};

struct PartTrial {
    std::string part;
    double p = 1.0;              ///< exact, by randomisation; corrected for lines (inside) and parts (Holm)
    double next_p = 0.0;         ///< the next smaller one that it could have had
    std::optional<bool> drives;  ///< nothing: the recording cannot tell
    std::vector<Effect>
        effects;  ///< lines that it drives, the surest first; or, where it drives none, its largest on a tone
    double change_most_db = 0.0;  ///< of an acquitted part, and where nobody can tell: it changes no tone by more
    bool moves_pitch = false;     ///< one of its lines comes as another near it goes
    std::vector<int> tones;       ///< ids of the tones that it drives
    std::vector<int> unmoved;     ///< ids of the board's tones that it certainly does not make
    double seconds_needed = 0.0;  ///< where nothing could be told: a plan so long would tell; 0: not known
    long draws = 0;               ///< plans drawn anew
    bool start_known = false;     ///< from another part, so that the start was not searched
};

struct PictureLine {
    std::size_t line = 0;
    std::vector<double> level_dbfs;  ///< by window
};

/// One recording of a board whose parts were switched in a drawn order.
struct Trial {
    Plan plan;
    std::string recording;
    double seconds = 0.0;
    std::vector<WatchedLine> lines;
    std::optional<Alignment> alignment;  ///< nothing where no part was found to be followed by anything
    std::vector<PartTrial> parts;        ///< in the order of the plan
    std::vector<StepWindow> windows;     ///< at the alignment
    std::vector<PictureLine> picture;    ///< one a part that drives something
    std::vector<std::string> notices;
};

struct TrialOptions {
    int threads = 0;          ///< 0: as many as the machine has; results do not depend on it
    long draws = 0;           ///< 0: as many as p ≤ 0.001 wants with all parts (draws.h)
    long enough_better = 25;  ///< a part is given up when so many drawn columns did as well
    std::uint64_t seed = 1;   ///< of the columns drawn anew
};

/// Why a recording is not compared with a plan; nothing where it can be.
std::optional<Error> too_long_to_try(const std::string& path, double seconds, double sample_rate_hz);

/// The trial: start, pace, effects and exact p-values. `sheet` may be null: no expected lines then, and no time to
/// settle. Errors: too little of the plan was recorded.
Result<Trial> try_plan(const Plan& plan, const board::BoardSheet* sheet, const sound::Recording& recording,
                       const tones::UnitTones& unit, const tones::Tones& found, const TrialOptions& options = {});

}  // namespace tattletone::toggle
