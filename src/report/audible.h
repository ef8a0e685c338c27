#pragma once

#include <string>

#include "match/findings.h"

namespace tattletone::report {

/// By how much a young adult would hear a tone where the microphone was: over the threshold of hearing in quiet
/// (ISO 389-7:2019) or over what the noise around it masks, whichever is less. The microphone is taken for one whose
/// full scale is 120 dB SPL, so the first is right to some 10 dB, unless all tones are compared.
double audible_db(const tones::Tone& tone);

/// Nobody hears it, even were the microphone 10 dB less sensitive.
bool hardly_audible(const tones::Tone& tone);

/// One standard deviation of the frequency that is shown, the sound card's clock included.
double shown_sd_hz(const match::Findings& findings, const tones::Tone& tone);
/// "9599.8 Hz", to the digits that this leaves, two decimals at most.
std::string known_frequency(const match::Findings& findings, const tones::Tone& tone);
/// More than its uncertainty.
bool drifts(const tones::Tone& tone);
/// "easy to hear", "audible", "on the edge of hearing" or "hardly audible".
std::string loudness_words(const tones::Tone& tone);
/// "9599.8 ± 0.2".
std::string frequency_words(const match::Findings& findings, const tones::Tone& tone);

}  // namespace tattletone::report
