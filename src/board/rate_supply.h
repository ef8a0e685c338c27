#pragma once

#include <optional>
#include <vector>

#include "board/headroom.h"

namespace tattletone::board {

/// How the peaks of one rate's part stand against its rail, in the state where that is worst.
struct RateSupply {
    enum class Strain {
        none,         ///< the rail has enough for this part's peaks and everybody's
        alone,        ///< this part's peak is more than the rail is good for
        with_others,  ///< its peak on top of what the others typically draw is
        coinciding,   ///< only all peaks at once are
        always        ///< the typical currents are
    };
    int rail = 0, state = -1;
    Supply verdict = Supply::unknown;
    Strain strain = Strain::none;
    double good_for_ma = 0.0, ambient_c = 0.0;
    Limit limited_by = Limit::none;
    double own_peak_ma = 0.0, others_typical_ma = 0.0, typical_ma = 0.0, peak_ma = 0.0;
    std::optional<double> burst_us, droop_v;
    bool heats_by_average = false;  ///< the limit is one of heat, the bursts are short and the average is within
};

/// Of the states in which the rate is active; `states` (indices) narrows them, empty: all. Nothing where
/// the part has no rail or the sheet says too little to judge it.
std::optional<RateSupply> supply_of_rate(const BoardSheet& sheet, int rate, const std::vector<int>& states);

}  // namespace tattletone::board
