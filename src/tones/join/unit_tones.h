#pragma once

#include <optional>
#include <string>
#include <vector>

#include "tones/judge/level_swing.h"
#include "tones/tones.h"

namespace tattletone::tones {

struct RejectionLimits;

/// What was different on the board in one recording: a rate set to another value, or a part (or one of
/// its rates) that did not run.
struct Change {
    std::string what;  ///< full name of a rate, or the id of a part
    double hz = 0.0;   ///< the rate's value then; 0: off
};

/// One recording of the unit under test, with what the user said about it.
struct Take {
    std::string path;
    std::string state;  ///< an operating state of the sheet, or empty
    std::string spot;   ///< a place on the board, or empty
    Tones found;
    std::vector<Change> changes = {};
};

struct HeardIn {
    int take = 0;  ///< index into UnitTones::takes
    bool heard = false;
    double level_dbfs = 0.0;        ///< where heard
    double tone_to_noise_db = 0.0;  ///< where heard
    double below_dbfs = 0.0;        ///< where not heard: the level above which it would have been
};

/// How much fainter a tone is in the far take, the microphone having moved from 3 cm to 60 cm, than in the takes of the
/// same state near the board.
struct FarFall {
    bool heard = false;  ///< in the far take
    double db = 0.0;     ///< where it is not heard there: it fell by this at least
    double sd_db = 0.0;  ///< where heard: of the two levels' noise, not of rooms and hands
    int takes = 1;       ///< far takes that tell
};

/// A tone of the unit: the same line found in one or more takes.
struct UnitTone {
    int id = 0;                                  ///< 1, 2, … in order of frequency
    Tone tone;                                   ///< from the take with the smallest hz_sd
    std::vector<HeardIn> heard_in;               ///< one entry a take, in order of the takes, where that take can tell
    std::optional<double> room_below_dbfs = {};  ///< not in the room's recording, where it would be above this level
    std::optional<FarFall> far_fall = {};        ///< where a far take can tell
    std::optional<LevelSwing> swing = {};        ///< of one that moves, where that tells
    bool driven = false;                         ///< a toggle plan's trial shows that a part makes it; not stored
};

/// A tone of the room's recording.
struct RoomLine {
    double hz = 0.0;
    bool steady = true;
    std::vector<int> met_in;  ///< the takes in which one of the unit's tones is it
};

struct UnitTones {
    std::vector<Take> takes;
    std::vector<UnitTone> tones;
    bool room_given = false;           ///< a room recording was part of it
    std::vector<RoomLine> room_lines;  ///< its tones but for the mains'
    std::vector<Take> far;             ///< made from 60 cm; no takes, and nothing that is missing there counts as such
};

/// Whether two takes were made with the same parts off and the same rates set.
bool same_settings(const std::vector<Change>& a, const std::vector<Change>& b);

/// Puts them in order of frequency and gives them the ids 1, 2, …
void number_by_hz(std::vector<UnitTone>& tones);

/// One list of tones for several takes of one unit. A line of the room recording makes the same line
/// elsewhere `Origin::room` (marked, never dropped). `room` may be null. A far take only tells how far tones fell: of
/// those that are heard in the takes of its state (of all where it says none).
UnitTones unite(std::vector<Take> takes, const Tones* room, std::vector<Take> far = {});

/// The same with other numbers than the program's for what is the room's.
UnitTones unite(std::vector<Take> takes, const Tones* room, std::vector<Take> far, const RejectionLimits& limits);

}  // namespace tattletone::tones
