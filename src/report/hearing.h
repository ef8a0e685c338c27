#pragma once

#include <optional>
#include <string>
#include <vector>

#include "match/findings.h"
#include "tones/hearing.h"

namespace tattletone {

struct Listener {
    double age = 0.0;
    std::optional<Sex> sex;               ///< not said: both are told
};

/// Who is asked about, and what the microphone's level means.
struct HearingWish {
    std::vector<Listener> listeners;      ///< empty: 22 and 55
    std::optional<double> spl_at_0_dbfs;  ///< dB SPL of a full-scale sine; not given: no sound pressure is told
    std::string calibrated_by;            ///< for the reader: "94 dB SPL, cal.wav"
    bool asked = false;                   ///< the user asked: every tone of the board, else one line about the clearest
};

/// Sentences about who hears the board's tones, from ISO 7029:2017 and ISO 389-7:2019; none where there is no tone
/// of the board. `full`: as if asked.
std::vector<std::string> hearing_sentences(const Findings& findings, const HearingWish& wish, bool full = false);

/// A section of the terminal's answer, and of a page. Empty where there is nothing to say.
std::string hearing_text(const Findings& findings, const HearingWish& wish, int columns, bool bold);
std::string page_hearing(const Findings& findings, const HearingWish& wish);

/// An object: editions, and per tone of the board the listeners' thresholds; null where a table does not reach.
std::string hearing_json(const Findings& findings, const HearingWish& wish);

}  // namespace tattletone
