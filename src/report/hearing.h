#pragma once

#include <optional>
#include <string>
#include <vector>

#include "cause/hearing.h"
#include "match/findings.h"

namespace tattletone::report {

struct Listener {
    double age = 0.0;
    std::optional<cause::Sex> sex;  ///< not said: both are told
};

/// Who is asked about, and what the microphone's level means.
struct HearingOptions {
    std::vector<Listener> listeners;      ///< empty: 22 and 55
    std::optional<double> spl_at_0_dbfs;  ///< dB SPL of a full-scale sine; not given: no sound pressure is told
    std::string calibrated_by;            ///< for the reader: "94 dB SPL, cal.wav"
    bool asked = false;                   ///< the user asked: every tone of the board, else one line about the clearest
};

/// ECMA-418-1's first question, which needs a calibrated microphone: a tone below the threshold of hearing (ISO 389-7)
/// is not prominent, whatever its ratios. Without `spl_at_0_dbfs` nothing changes.
void screen_prominence(match::Findings& findings, const HearingOptions& chosen);

/// Sentences about who hears the board's tones, from ISO 7029:2017 and ISO 389-7:2019; none where there is no tone
/// of the board. `full`: as if asked.
std::vector<std::string> hearing_sentences(const match::Findings& findings, const HearingOptions& chosen,
                                           bool full = false);

/// "At 55 years one needs 15 to 20 dB more than at 22.", women to men, in the median (ISO 7029:2017); empty where that
/// is less than 10 dB.
std::string age_sentence(double hz);

/// A section of the terminal's answer, and of a page. Empty where there is nothing to say.
std::string hearing_text(const match::Findings& findings, const HearingOptions& chosen, int columns, bool bold);
std::string page_hearing(const match::Findings& findings, const HearingOptions& chosen);

/// An object: editions, and per tone of the board the listeners' thresholds; null where a table does not reach.
std::string hearing_json(const match::Findings& findings, const HearingOptions& chosen);

}  // namespace tattletone::report
