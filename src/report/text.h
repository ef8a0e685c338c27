#pragma once

#include <string>

#include "match/findings.h"

namespace tattletone {

struct TextStyle {
    int columns = 80;                    ///< no line is longer; 40 or more
    bool bold = false;                   ///< headings in bold by escape codes; nothing else is coloured
    int most_tones = 0;                  ///< 0: all
    bool with_sheet = true;              ///< false: advise to give a board sheet
};

/// The answer for a terminal: one sentence first, then suspects with reasons, tones, notices and
/// conditions, and what to try next. Ends with a line break.
std::string findings_text(const Findings& findings, const TextStyle& style = {});

/// The first sentence of it alone, without a line break.
std::string answer_sentence(const Findings& findings);

}  // namespace tattletone
