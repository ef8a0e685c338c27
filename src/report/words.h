#pragma once

#include <string>
#include <vector>

#include "match/findings.h"
#include "match/words.h"

namespace tattletone::report {

/// The words that stand for a probability everywhere: 'almost certainly' from 0.95, 'probably' from
/// 0.5, 'possibly' from 0.1, 'hardly' below.
std::string probability_word(double probability);

/// Two decimals; "over 0.99" and "under 0.01" where they would round to certainty.
std::string probability_number(double probability);

/// "2nd harmonic of ranger.frame", "3/2 of …", "beat of … and …".
std::string explanation_words(const match::Explanation& explanation);

/// "yes", "no" or "no criterion above 11.2 kHz" / "no criterion below 89.1 Hz".
std::string prominence_words(const tones::Tone& tone);

/// The answer in one sentence.
std::string answer_sentence(const match::Findings& findings);

/// What to do next, in one or two sentences.
std::string next_step(const match::Findings& findings, bool room_given);

inline constexpr const char* faint_words = "faint: told from noise only because the rate says where to look";
/// With several takes: in which, counted from 1, the tone was heard and in which it was not, with
/// levels. Empty with one take.
std::string where_heard(const match::Findings& findings, const tones::UnitTone& tone);

/// Tones that count as the board's.
std::vector<const tones::UnitTone*> tones_of(const match::Findings& findings, bool of_the_board);

/// "ranger.frame, Time-of-flight ranger".
std::string suspect_title(const match::Suspect& suspect);

/// ", state idle, spot coil, with lamp.dimming at 4297 Hz and ranger off": what the user said about
/// a recording, empty where nothing.
std::string said_words(const tones::Take& take);

/// "The sound card reads 37 ± 8 ppm high, from screen.line; …" Empty where no tone pins it.
std::string card_words(const match::Findings& findings);

/// "loudest over 'coil' (-61.2 ± 4.1 dBFS), 14 ± 6 dB more than over 'lens'; …": what the spots say
/// of a tone. Empty with fewer than two.
std::string spot_words(const match::Findings& findings, const tones::UnitTone& tone);

/// "9.8 s at 48 kHz, usable from 40 Hz to 20 kHz".
std::string take_words(const tones::Tones& found);

/// "2031-04-05 06:07" of a stored time.
std::string minute_of(const std::string& utc);

}  // namespace tattletone::report
