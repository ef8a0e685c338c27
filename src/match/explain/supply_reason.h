#pragma once

#include <optional>
#include <string>
#include <vector>

#include "board/rate_supply.h"
#include "tones/join/unit_tones.h"

namespace tattletone::match {

/// The states of the takes, as indices into the sheet; empty where no take says its state.
std::vector<int> states_of(const board::BoardSheet& sheet, const tones::UnitTones& unit);

/// Why the rail of this rate's part may be what lets it sing, one sentence; empty where the rail is not starved. An
/// explanation: it does not enter the probability. `traced_rail`: CaseEvidence.
std::string supply_reason(const board::BoardSheet& sheet, int rate, const tones::UnitTones& unit,
                          std::optional<int> traced_rail = {});

}  // namespace tattletone::match
