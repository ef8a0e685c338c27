#pragma once

#include <string>
#include <vector>

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

/// A tone of the unit: the same line found in one or more takes.
struct UnitTone {
    int id = 0;                     ///< 1, 2, … in order of frequency
    Tone tone;                      ///< from the take with the smallest hz_sd
    std::vector<HeardIn> heard_in;  ///< one entry a take, in order of the takes, where that take can tell
};

struct UnitTones {
    std::vector<Take> takes;
    std::vector<UnitTone> tones;
    bool room_given = false;  ///< a room recording was part of it
};

/// One list of tones for several takes of one unit. A line of the room recording makes the same line
/// elsewhere `Origin::room` (marked, never dropped). `room` may be null.
UnitTones unite(std::vector<Take> takes, const Tones* room);

/// The same with other numbers than the program's for what is the room's.
UnitTones unite(std::vector<Take> takes, const Tones* room, const RejectionLimits& limits);

}  // namespace tattletone::tones
