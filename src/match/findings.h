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
    std::vector<std::string> reasons;  ///< plain sentences, the weightiest first; those for it before those against
    bool outside_tolerance = false;    ///< it fits only outside the declared tolerance: is the setting taking effect?
    std::vector<std::string> against = {};  ///< those of the reasons that speak against it
};

/// Many lines of one fundamental that stand out together.
struct CombFigures {
    double probability = 0.0;      ///< that there is such a source; of a declared rate that it sings
    double hz = 0.0, hz_sd = 0.0;  ///< the fundamental by these lines; without the error of the sound card's clock
    int recording = 0;             ///< index of the take of which the rest is told
    int lines = 0;                 ///< multiples within the part of the band in which they stand out
    double low_hz = 0.0, high_hz = 0.0;
    double under_db = 0.0;     ///< how far a line is on average under what is found alone; negative: over it
    double log10_ratio = 0.0;  ///< of how likely the sound is with them and without, at the best place
};

/// Of a declared rate, most of its lines too faint to be found alone. Those that speak for it are tones with `comb`.
struct FoundComb : CombFigures {
    std::string rate;  ///< full name
};

/// Of a source that nobody declared.
struct UndeclaredComb : CombFigures {
    std::vector<int> tones;  ///< ids of those of its lines that were found alone
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

/// `device`: clocked, as is a part that the sheet does not have; `mains_fed`: a converter on the mains; `room`: like
/// what the room's recording has; `twin`: something on the clock of a rate that was off, or that rate.
enum class RivalKind { mains, machine, mains_fed, device, notes, television, room, twin };

/// What sounds, or may sound, beside the declared rates.
struct Rival {
    RivalKind kind = RivalKind::mains;
    double probability = 0.0;                  ///< that it makes the tone that is surest to be its own
    double hz = 0.0, hz_sd = 0.0;              ///< the mains' frequency, or the fundamental; 0: it has none
    double lowest_hz = 0.0, highest_hz = 0.0;  ///< of its tones
    std::vector<int> tones;                    ///< ids
    std::string rate;                          ///< a twin: of which rate
    std::string words;    ///< "multiples of the mains at 50.003 Hz up to 4.2 kHz: a dimmed lamp, …"
    int undeclared = -1;  ///< index into Findings::undeclared of the comb that it is told from; -1: none
};

/// A slow rate at whose pace noise comes and goes: a lead, whether tones tell of it or not.
struct PulsedRate {
    std::string rate;              ///< full name
    double hz = 0.0, hz_sd = 0.0;  ///< the pace, the sound card's clock included
    int lines = 0;                 ///< multiples of it that agree
    double odds = 1.0;             ///< what it multiplies the rate's odds by
};

enum class Verdict { named, unknown, quiet };

/// The answer. `explained_by[id]` holds, for a tone, explanations of 0.01 or more, the likeliest first;
/// they sum to at most 1 and the rest is 'none of the declared rates'.
struct Findings {
    tones::UnitTones unit;
    std::string board;              ///< name and revision, empty without a sheet
    std::vector<Suspect> suspects;  ///< every rate at 0.01 or more, the likeliest first
    std::map<int, std::vector<Explanation>> explained_by;
    std::vector<FoundComb> combs;            ///< of suspects
    std::vector<UndeclaredComb> undeclared;  ///< the likeliest first
    std::vector<PulsedRate> pulses;
    Verdict verdict = Verdict::quiet;
    std::vector<Rival> rivals;             ///< the likeliest first
    std::vector<std::string> states_left;  ///< of the sheet, not recorded; first those in which the first suspect rests
    double undeclared_probability = 0.0;   ///< that a board tone is there which no declared rate explains
    double card_error_ppm = 0.0;           ///< of the sound card's clock, mean of what the tones say
    double card_error_ppm_sd = 50.0;
    std::vector<std::string> card_error_from;  ///< tight rates that pin it; empty: nothing does
    std::vector<Attribution> attributions;     ///< probabilities sum to 1; the likeliest first; empty without a sheet
    std::vector<Experiment> next;              ///< that which tells most per minute of effort first
    std::vector<std::string> outcomes;         ///< what became of the tones where something was changed
    std::vector<std::string> notices;          ///< what the match did not look into: whole sentences
    std::map<int, SpotComparison> spots;       ///< by tone, where takes at two spots or more can tell
};

}  // namespace tattletone::match
