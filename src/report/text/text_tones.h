#pragma once

#include <string>
#include <vector>

#include "report/text/text.h"

namespace tattletone::report {

/// The tables of tones for `findings_text`: aligned where `columns` has room, else a list.
std::string board_tones_text(const match::Findings& findings, const std::vector<const tones::UnitTone*>& tones,
                             const TextStyle& style);
std::string other_tones_text(const match::Findings& findings, const std::vector<const tones::UnitTone*>& tones,
                             const TextStyle& style);

}  // namespace tattletone::report
