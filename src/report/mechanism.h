#pragma once

#include <string>
#include <vector>

#include "board/sheet.h"
#include "match/findings.h"

namespace tattletone {

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
    std::string id;                       ///< "capacitor", "coil", "light-load"
    std::string name;                     ///< "a ceramic capacitor on 3V3"
    std::string likelihood;               ///< "likely", "possible", "unlikely"
    std::vector<Observation> observations;
};

struct Cure {
    std::string what, price;
    std::string source;                   ///< "makers' notes" or "common practice"
};

struct Cause {
    std::string rate;
    std::vector<Mechanism> mechanisms;    ///< the likeliest first
    std::vector<Cure> cures;              ///< of those that are not unlikely
};

/// Level of the line at 2f against that at f, in dB, for a square law with bias V_0 and amplitude v.
double square_law_second_db(double bias_v, double amplitude_v);

/// Nothing in it where the rate is not in the sheet or none of its tones was heard.
Cause cause_of(const Findings& findings, const BoardSheet& sheet, const Suspect& suspect);

/// The likeliest mechanism with what speaks for it, the others by name, as sentences; empty where
/// the suspect is below 0.5 or nothing can be said.
std::string mechanism_sentence(const Findings& findings, const BoardSheet& sheet, const Suspect& suspect);

/// Two to four lines for the terminal about the first suspect, where it is named; else empty.
std::string cause_text(const Findings& findings, const BoardSheet& sheet, int columns, bool bold);

/// A section of a page about every named suspect; empty where there is none.
std::string page_cause(const Findings& findings, const BoardSheet* sheet);

/// A list of objects, one a named suspect.
std::string causes_json(const Findings& findings, const BoardSheet& sheet);

/// How each suspect's rail stands, a list of objects; those without a rail are left out.
std::string supplies_json(const Findings& findings, const BoardSheet& sheet);

}  // namespace tattletone
