#pragma once

#include <vector>

#include "board/lines.h"
#include "board/sheet/sheet.h"
#include "match/comb/comb.h"
#include "match/far_fall.h"
#include "match/model/case_evidence.h"
#include "match/model/parameters.h"
#include "match/model/search_limits.h"
#include "match/model/spots.h"
#include "match/model/take_set.h"
#include "tones/join/unit_tones.h"

namespace tattletone::match {

/// A take's thresholds, sampled evenly in log frequency for quick look-up.
class Thresholds {
  public:
    explicit Thresholds(const tones::Tones& found);
    bool can_tell(double hz) const { return !steady_.empty() && hz >= low_hz_ && hz <= high_hz_; }
    /// Level above which a line is found with probability 1/2. Only where `can_tell`.
    double above_dbfs(double hz, bool wandering) const;

  private:
    double low_hz_ = 0.0, high_hz_ = 0.0, log_low_ = 0.0, steps_per_log_ = 0.0;
    std::vector<float> steady_, wandering_;
};

enum class Heard : signed char { cannot_tell, no, yes };

/// What shows that a tone is from elsewhere: its place among the mains' multiples, sides at twice the mains, the
/// room's recording, or the clipping of stronger tones.
enum class ElsewhereKind { mains, mains_fed, room, clipping };

/// A tone as the match sees it.
struct ObservedTone {
    double hz = 0.0, sd_hz = 0.0;
    bool accuses = false;  ///< of the board or unsure; the room's and the mains' only hide lines
    bool of_board = false;
    bool faint = false;  ///< counts as a tightly timed rate's harmonic only
    bool comb = false;   ///< counts only together with the others of a comb
    bool steady = true;
    double drift = 0.0;        ///< ln(end / start) of its path
    double drift_sd = 0.0;     ///< of a line fitted to the whole recording, else 0
    double piece_sd_hz = 0.0;  ///< of a steady one, maybe a piece of a moving line: how far its harmonics may be
    double restless = 0.0;     ///< relative size of its movement, drift or wander
    double restless_sd = 0.0;  ///< how much of that its uncertainty alone would make
    double level_dbfs = 0.0;   ///< mean over the takes in which it is heard
    int mains_sides = 0;       ///< of a moving one: others in its take that are multiples of twice the mains from it
    double elsewhere_share = 0.0;                   ///< of `log_undeclared`: what shows itself to be from elsewhere
    ElsewhereKind elsewhere = ElsewhereKind::room;  ///< what makes up most of that
    double product_hz = 0.0, product_hz_sd = 0.0;   ///< as in tones::Tone
    int mains_multiple = 0;                         ///< as in tones::Tone
    double mains_hz = 0.0;
    double hide_hz = 0.0;               ///< a line this near cannot be seen beside it
    double log_undeclared = 0.0;        ///< log density per Hz as a tone that nobody declared, or as noise
    double log_noise_density = 0.0;     ///< of a faint one: ln of noise's peaks a Hz and dB
    std::vector<double> trial_by_part;  ///< ln of what a toggle plan says of it as each part's; empty: nothing
    double trial_undeclared = 0.0;      ///< the same as nobody's
    std::vector<Heard> heard;           ///< by take
    std::vector<double> below_dbfs;     ///< by take, where not heard
    int fall = -1;  ///< index into `Observations::falls`, where a far take or its level's swing tells
};

/// The board and the recorder as they were in some of the takes.
/// How well is known what a rate was set to: by its lines, of which one has found where they are.
struct SetRate {
    double sd = 0.0;  ///< relative
    int anchor = 0;   ///< order of that one; 0: not measured
};

struct Setting {
    board::BoardSheet sheet;   ///< with the rates' values of then
    std::vector<SetRate> set;  ///< by rate; empty: none is measured
    std::vector<char> off;     ///< by rate
    double sample_rate_hz = 0.0;
    TakeSet takes;

    /// Of the line of that order (0: no harmonic), relative.
    double set_sd(int rate, int order, const MatchParameters& p) const {
        if (set.empty()) return p.setting_sd;
        const SetRate& own = set[static_cast<std::size_t>(rate)];
        return own.anchor == 0 || own.anchor == order ? p.setting_sd : own.sd;
    }
};

/// A grid that may be there: by what a take tells of it, or as it should be.
struct MainsHeard {
    double hz = 50.0;
    bool heard = false;
};

/// All that is fixed before rates are weighed.
struct Observations {
    const board::BoardSheet* sheet = nullptr;
    MatchParameters parameters;
    CaseEvidence evidence;
    SearchLimits search;
    std::vector<Thresholds> thresholds;  ///< by take
    std::vector<double> take_seconds;    ///< by take
    std::vector<int> state;              ///< by take, -1: not said
    std::vector<Comb> combs;             ///< of what may sing too faintly for single lines
    std::vector<ObservedTone> tones;     ///< same order as in UnitTones: ascending in frequency
    board::LineLimits limits;            ///< but for the sample rate, which is the setting's
    std::vector<Setting> settings;       ///< together all takes; without takes the sheet as it is
    std::vector<SpotComparison> spots;   ///< by tone
    std::vector<FarEvidence> falls;      ///< of the tones that have any
    std::vector<MainsHeard> mains;       ///< the grids that may be there
    double mains_buzz = 0.0;             ///< multiples of the mains over 1 kHz
    double unsure = 0.0;                 ///< unsure tones
    bool room_given = false;
    std::vector<tones::RoomLine> room_lines;
    TakeSet all_takes;
    int unsure_spared = 0;     ///< unsure tones, where they were too many to accuse
    double level_sd_db = 0.0;  ///< one take's level of a line about its mean over takes

    /// Density per Hz and dB over the threshold of tones that nobody declared, where there are `clutter` times as many
    /// as usual.
    double undeclared_density(double hz, bool steady, double excess_db, double clutter) const;
    const Setting& setting_of(std::size_t take) const;
    /// Null where no far take tells.
    const FarEvidence* fall_of(const ObservedTone& tone) const {
        return tone.fall < 0 ? nullptr : &falls[static_cast<std::size_t>(tone.fall)];
    }
    /// Lowest threshold at `hz` among `takes`; false where none can tell.
    bool lowest_threshold(double hz, bool wandering, const TakeSet& takes, double& dbfs) const;
};

Observations observe(const board::BoardSheet* sheet, const tones::UnitTones& unit, const MatchParameters& parameters,
                     const CaseEvidence& evidence = {}, const SearchLimits& search = {});

/// Sets every tone's `mains_sides`.
void count_mains_sides(Observations& observations);

/// Sets every tone's `log_undeclared` for a recording with `clutter` times the usual density.
void set_clutter(Observations& observations, double clutter);

}  // namespace tattletone::match
