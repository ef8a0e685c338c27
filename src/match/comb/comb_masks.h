#pragma once

#include <vector>

#include "match/comb/comb_score.h"
#include "tones/join/unit_tones.h"

namespace tattletone::match {

/// Which of a take's steady tones speak for a comb: none; those that count as the board's; the unsure ones too.
enum class Speaking { none, board, unsure };

/// What is known of a take already, in hz: its other tones, the mains, and the room's.
std::vector<MaskedHz> masked_of(const tones::UnitTones& unit, const tones::Tones& found, Speaking speaking);

/// And all multiples of a comb's fundamental.
void mask_lines(std::vector<MaskedHz>& masked, double fundamental_hz, double step_hz, double end_hz);

}  // namespace tattletone::match
