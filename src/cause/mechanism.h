#pragma once

#include <string>
#include <vector>

#include "board/sheet/sheet.h"
#include "match/findings.h"

namespace tattletone::cause {

/// What is likely to move where a rate sings, from its rail and from how its lines stand to it. A ceramic
/// capacitor follows the square of its voltage, a coil's core that of its current: with a bias V_0 and a
/// ripple v the line at f is 2·V_0·v and that at 2f is v²/2, so 2f over f is v/(4·V_0); without bias only 2f.
/// A converter at light load bursts at a rate that follows its load. Sources: physics texts, capacitor makers'
/// notes; what is common practice says so.
enum class Speaks { for_it, against_it, open };

struct Observation {
    std::string text;
    Speaks speaks = Speaks::open;
};

struct Mechanism {
    std::string id;          ///< "capacitor", "coil", "light-load"
    std::string name;        ///< "a ceramic capacitor on 3V3"
    std::string likelihood;  ///< "likely", "possible", "unlikely"
    std::vector<Observation> observations;
};

struct Cure {
    std::string what, price;
    std::string source;  ///< "makers' notes" or "common practice"
};

struct Cause {
    std::string rate;
    std::vector<Mechanism> mechanisms;  ///< the likeliest first
    std::vector<Cure> cures;            ///< of those that are not unlikely
};

/// Level of the line at 2f against that at f, in dB, for a square law with bias V_0 and amplitude v.
double square_law_second_db(double bias_v, double amplitude_v);

/// Nothing in it where the rate is not in the sheet or none of its tones was heard.
Cause cause_of(const match::Findings& findings, const board::BoardSheet& sheet, const match::Suspect& suspect);

}  // namespace tattletone::cause
