#pragma once

#include <string>

#include "match/findings.h"

namespace tattletone::report {

struct TextStyle {
    int columns = 80;         ///< no line is longer; taken as 40 where it is less
    bool bold = false;        ///< headings in bold by escape codes; nothing else is coloured
    bool room_given = false;  ///< a room recording was part of it, so do not advise one
    int most_tones = 0;       ///< 0: all
    std::string more;         ///< sections of the caller, before the recordings
};

/// The answer for a terminal: one sentence first, then suspects with reasons, tones, notices and
/// conditions, and what to try next. Ends with a line break.
std::string findings_text(const match::Findings& findings, const TextStyle& style = {});

/// What the match did not look into, one "! " paragraph a notice.
std::string notices_text(const match::Findings& findings, int columns);

}  // namespace tattletone::report
