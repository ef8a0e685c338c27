#pragma once

#include <string>

#include "match/findings.h"

namespace tattletone::report {

/// The comb that nobody declared of which a tone is a line; null: of none.
const match::UndeclaredComb* undeclared_of(const match::Findings& findings, int tone_id);

/// "121.300 Hz": its fundamental, to the digits that are known with the sound card's clock.
std::string fundamental_words(const match::Findings& findings, const match::UndeclaredComb& comb);

/// "41 lines at multiples of 121.300 Hz from 728 Hz to 5.58 kHz, one source that nobody declared, …"
std::string undeclared_words(const match::Findings& findings, const match::UndeclaredComb& comb);

/// "line 14 of something periodic at 121.300 Hz"; empty where the tone is of none.
std::string undeclared_line_words(const match::Findings& findings, const tones::UnitTone& tone);

}  // namespace tattletone::report
