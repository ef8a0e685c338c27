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

/// Whether more than its being there says that a tone is the board's: the room's recording would clearly have shown it
/// and is without it; or it fell as the microphone moved away; or states are without it. Of several takes two of one
/// state have it, and none of that state lacks it.
bool shown_to_be_of_board(const match::Findings& findings, const tones::UnitTone& tone);
/// Above the list of tones that are not the room's: whose they are as far as that is known.
std::string board_tones_heading(const match::Findings& findings);

/// The answer in one sentence.
std::string answer_sentence(const match::Findings& findings);

/// What a person hears of it: the tone that is heard best and how well, and with `ages` how much more the old need.
/// Empty where there is no such tone.
std::string heard_sentence(const match::Findings& findings, bool ages = false);
/// Both, for a list or a message.
std::string answer_line(const match::Findings& findings);

/// "40 multiples of ranger.frame from 120 Hz to 4800 Hz, each some 8 dB under what is found alone".
std::string comb_words(const match::FoundComb& comb);
/// "the noise from 2 to 10 kHz comes and goes 31.250 ± 0.003 times a second, as screen.refresh does".
std::string pulse_words(const match::PulsedRate& pulsed);
/// The tones that a list shows one by one: without those that count only together.
std::vector<const tones::UnitTone*> without_combs(std::vector<const tones::UnitTone*> tones);

inline constexpr const char* faint_words = "faint: told from noise only because the rate says where to look";
/// With several takes: in which, counted from 1, the tone was heard and in which it was not, with
/// levels. Empty with one take.
std::string where_heard(const match::Findings& findings, const tones::UnitTone& tone);

/// Tones that count as the board's, the best audible first; the others ascending in frequency.
std::vector<const tones::UnitTone*> tones_of(const match::Findings& findings, bool of_the_board);

/// What speaks for a suspect, or against it.
std::vector<std::string> reasons_of(const match::Suspect& suspect, bool against);

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
