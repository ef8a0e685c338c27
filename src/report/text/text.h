#pragma once

#include <string>
#include <utility>
#include <vector>

#include "match/findings.h"

namespace tattletone::report {

struct TextStyle {
    int columns = 80;                      ///< no line is longer; taken as 40 where it is less
    bool bold = false;                     ///< headings in bold by escape codes; nothing else is coloured
    bool all = false;                      ///< every reason, tone, level, ratio and criterion behind the answer
    std::string how_to_see_all = "--all";  ///< named where something is left out; may be empty
    std::vector<std::pair<std::string, std::string>>
        notes;         ///< of the caller: a word and a sentence, before what to do
    std::string more;  ///< sections of the caller, before the recordings: with `all` only
};

/// The answer for a terminal (`AnswerParts`), in 30 lines of 80 columns where one rate is suspected. Ends with a line
/// break.
std::string findings_text(const match::Findings& findings, const TextStyle& style = {});

/// What the match did not look into, one "! " paragraph a notice.
std::string notices_text(const match::Findings& findings, int columns);

}  // namespace tattletone::report
