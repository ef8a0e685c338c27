#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "board/sheet/sheet.h"
#include "sound/recording.h"
#include "support/boards.h"
#include "support/hardships.h"
#include "support/names.h"

namespace tattletone::scenes {

/// Scenes with seeds below this are for fitting and development, those from it on for checking only.
inline constexpr std::uint64_t first_checking_seed = 1'000'000;

enum class SceneKind { culprit, two_culprits, quiet, undeclared, states };
const char* name_of(SceneKind kind);

/// What the simulator assumes; a test that breaks an assumption changes one of these.
struct Assumptions {
    std::optional<SceneKind> kind;                                      ///< none: drawn, most with one culprit
    std::optional<Timing> culprit;                                      ///< none: drawn
    double seconds = 0.0;                                               ///< 0: drawn, most 10 s
    double tone_to_noise_low_db = -24.0, tone_to_noise_high_db = 24.0;  ///< of a culprit's strongest line
    double wandering_low_db = 0.0, wandering_high_db = 20.0;            ///< the same for wandering ones
    double wander_scale = 1.0;
    double resonance_sd_db = 8.0;
    double card_ppm_mean = 0.0, card_ppm_sd = 50.0;
    double deviation_scale = 1.0;  ///< over 1: parts that do not keep their tolerance
    int fewest_rates = 3, most_rates = 12;
    double codec_share = 0.08;
    std::string codec;  ///< one for all, as in codec.h; empty: drawn
    bool automatic_gain = false;
    Hardship hardship = Hardship::none;
    double pair_ratio = 0.0;     ///< of two culprits: the second's rate over the first's; 0: drawn
    bool far = false;            ///< with a take from some 60 cm
    double clipped_share = 0.0;  ///< of the samples, in takes and room: the recorder was set too high
    bool bursts = false;         ///< a culprit sounds in bursts of one pace, drawn for the scene
    double burst_low_hz = 3.0, burst_high_hz = 40.0, burst_duty_low = 0.1, burst_duty_high = 0.6;
};

/// A line that is really there, as it should be found (in the frequency scale of the recording).
struct TrueLine {
    int rate = -1;  ///< -1: nobody declared it
    int take = 0;
    double multiple = 1.0;          ///< of the rate
    double hz = 0.0;                ///< mean over the time in which it sounds
    double level_dbfs = 0.0;        ///< while it sounds
    double tone_to_noise_db = 0.0;  ///< over the lasting noise in its critical band (ECMA-418-1)
    double carrier_to_density_db_hz = 0.0;
    double seconds = 0.0;  ///< how long it sounds
    bool steady = true;    ///< as narrow as the recording can resolve
};

struct SceneTake {
    Recording recording;
    std::string state;  ///< empty: not said
};

struct Scene {
    std::uint64_t seed = 0;
    SceneKind kind = SceneKind::culprit;
    BoardSheet sheet;
    std::vector<Timing> timing;  ///< of each rate of the sheet
    std::vector<SceneTake> takes;
    std::optional<Recording> room;
    std::optional<SceneTake> far;
    std::vector<int> singing;  ///< rates
    bool undeclared = false;
    std::vector<TrueLine> lines;   ///< in the order of their takes
    double strongest_db = -400.0;  ///< tone-to-noise of the strongest line of board or whine
    std::string codec;             ///< empty: none
    std::string story;             ///< one clause for the list of failures

    bool is_singing(int rate) const;
};

/// The same scene for the same seed and assumptions on every machine, but for rounding in the last bit
/// and for codecs, which need the ffmpeg command (without it the scene stays uncompressed).
Scene make_scene(std::uint64_t seed, const Assumptions& assumptions = {});

}  // namespace tattletone::scenes
