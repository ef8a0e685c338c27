#pragma once

#include <string>
#include <vector>

#include "report/text.h"

namespace tattletone {

/// The tables of tones for `findings_text`: aligned where `columns` has room, else a list.
std::string board_tones_text(const Findings& findings, const std::vector<const UnitTone*>& tones,
                             const TextStyle& style);
std::string other_tones_text(const std::vector<const UnitTone*>& tones, const TextStyle& style);

}  // namespace tattletone
