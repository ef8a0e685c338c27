#pragma once

#include <string>
#include <vector>

#include "board/sheet/sheet.h"
#include "match/findings.h"

namespace tattletone::window {

enum class RungState {
    lit,      ///< a tone is there and this rate explains it
    taken,    ///< a tone is there, and something else explains it better
    missing,  ///< nothing is there, though it ought to have been seen
    unseen,   ///< nothing is there, and it would hardly have been seen
    outside,  ///< outside the band that the recordings can tell about
    range     ///< of a rate that wanders: its fundamental may be anywhere in here
};

/// A place on the frequency axis at which a rate could be heard, as wide as its tolerance.
struct Rung {
    board::LineKind kind = board::LineKind::harmonic;
    int order = 1;
    std::string other;  ///< full name of the other rate of a sideband or beat
    double hz = 0.0;    ///< the tone where one is, else the declared value
    double low_hz = 0.0, high_hz = 0.0;
    RungState state = RungState::unseen;
    double probability = 0.0;  ///< lit: that this rate makes the tone
    int tone = 0;              ///< id of the tone; 0 where there is none
};

struct Ladder {
    int rate = 0;      ///< index into BoardSheet::rates
    std::string name;  ///< full name
    std::string part_name;
    std::string facts;  ///< "9600 Hz ± 50 ppm, pulse"
    double probability = 0.0;
    bool suspect = false;  ///< 0.01 or more
    bool may_run = true;   ///< in one take's state at least
    std::string reason;    ///< one line
    std::vector<std::string> reasons;
    std::string cause;        ///< what is likely to move, of a suspect at 0.5 or more; else empty
    std::vector<int> tones;   ///< ids of those that it explains
    std::vector<Rung> rungs;  ///< in order of frequency, every harmonic up to half the sample rate
                              ///< and every other line that is lit
};

/// One ladder a rate, the likeliest first. Probabilities that differ by less than 0.02 keep the
/// order of the sheet, so that live ladders do not dance. `findings` may be null: nothing was
/// heard.
std::vector<Ladder> ladders_of(const board::BoardSheet& sheet, const match::Findings* findings);

}  // namespace tattletone::window
