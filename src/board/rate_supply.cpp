#include "board/rate_supply.h"

#include <algorithm>

namespace tattletone::board {
namespace {

using Strain = RateSupply::Strain;

Strain strain_of(const RateSupply& supply) {
    const double good_for = supply.good_for_ma;
    if (supply.typical_ma > good_for) return Strain::always;
    if (supply.own_peak_ma > good_for) return Strain::alone;
    if (supply.own_peak_ma + supply.others_typical_ma > good_for) return Strain::with_others;
    if (supply.peak_ma > good_for) return Strain::coinciding;
    return Strain::none;
}

}  // namespace

std::optional<RateSupply> supply_of_rate(const BoardSheet& sheet, int index, const std::vector<int>& states) {
    const Rate& rate = sheet.rates[static_cast<std::size_t>(index)];
    const int rail = sheet.parts[static_cast<std::size_t>(rate.part)].rail;
    if (rail < 0) return std::nullopt;
    const RailSupply all = supply_of(sheet, rail);
    const StateSupply* worst = nullptr;
    for (const StateSupply& state : all.states) {
        const bool asked =
            states.empty() || state.state < 0 || std::find(states.begin(), states.end(), state.state) != states.end();
        if (!asked || !sheet.active(rate, state.state) || state.verdict == Supply::unknown) continue;
        if (worst == nullptr || state.verdict > worst->verdict ||
            (state.verdict == worst->verdict && state.peak_ma > worst->peak_ma))
            worst = &state;
    }
    if (worst == nullptr) return std::nullopt;
    RateSupply found;
    found.rail = rail;
    found.state = worst->state;
    found.verdict = worst->verdict;
    found.good_for_ma = all.limits.good_for_ma.value_or(0.0);
    found.ambient_c = all.limits.ambient_c;
    found.limited_by = all.limits.limited_by;
    found.typical_ma = worst->typical_ma;
    found.peak_ma = worst->peak_ma;
    for (const Load& load : worst->loads)
        if (load.part == rate.part)
            found.own_peak_ma = load.peak_ma;
        else
            found.others_typical_ma += load.typical_ma;
    found.burst_us = rate.burst_us;
    for (const Droop& droop : all.droops)
        if (droop.rate == index) found.droop_v = droop.total_v();
    found.strain = strain_of(found);
    found.heats_by_average = found.limited_by == Limit::heat && found.strain != Strain::always &&
                             rate.burst_us.value_or(short_burst_us) < short_burst_us;
    return found;
}

}  // namespace tattletone::board
