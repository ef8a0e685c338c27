#include "match/explain/supply_reason.h"

#include <cmath>
#include <cstdio>

#include "match/explain/wording.h"

namespace tattletone::match {
namespace {

constexpr double highest_audible_hz = 20000.0;

std::string number(double value) {
    char text[64];
    std::snprintf(text, sizeof text, "%.3g", value);
    return text;
}

std::string ma(double value) {
    char text[64];
    std::snprintf(text, sizeof text, value < 100.0 ? "%.3g mA" : "%.0f mA", value);
    return text;
}

std::string good_for(const board::RateSupply& supply) {
    std::string text = "good for " + ma(supply.good_for_ma);
    if (supply.limited_by == board::Limit::heat) text += " at " + number(supply.ambient_c) + " °C (by heat)";
    if (supply.limited_by == board::Limit::rating) text += " (its rating)";
    if (supply.limited_by == board::Limit::dropout) text += " (by dropout)";
    return text;
}

std::string volts_of(double volts) {
    char text[64];
    std::snprintf(text, sizeof text, volts < 0.1 ? "%.2g mV" : "%.2g V", volts < 0.1 ? volts * 1e3 : volts);
    return text;
}

std::string consequence(const board::Rate& rate, const board::RateSupply& supply) {
    std::string text = "it is likely to dip";
    if (supply.droop_v) text += ", by up to " + volts_of(*supply.droop_v);
    return rate.hz > highest_audible_hz ? text + ", inaudibly by itself (" + number(rate.hz / 1e3) + " kHz)" : text;
}

}  // namespace

std::vector<int> states_of(const board::BoardSheet& sheet, const tones::UnitTones& unit) {
    std::vector<int> states;
    for (const tones::Take& take : unit.takes)
        if (const int state = sheet.state_index(take.state); state >= 0) states.push_back(state);
    return states;
}

std::string supply_reason(const board::BoardSheet& sheet, int index, const tones::UnitTones& unit,
                          std::optional<int> traced_rail) {
    const auto supply = board::supply_of_rate(sheet, index, states_of(sheet, unit));
    if (!supply || supply->verdict != board::Supply::starved) return {};
    const board::Rate& rate = sheet.rates[static_cast<std::size_t>(index)];
    const std::string rail = "its rail " + sheet.rails[static_cast<std::size_t>(supply->rail)].id;
    using Strain = board::RateSupply::Strain;
    if (supply->strain == Strain::none)
        return rail + " cannot work as the sheet has it ('tattletone headroom' says why)";
    if (supply->strain == Strain::always)
        return rail + " is starved: its parts draw " + ma(supply->typical_ma) + " on average and it is " +
               good_for(*supply);
    if (supply->strain == Strain::coinciding)
        return rail + " is starved when the peaks of its parts coincide: " + ma(supply->peak_ma) + ", and it is " +
               good_for(*supply);
    const double asked =
        supply->own_peak_ma + (supply->strain == Strain::with_others ? supply->others_typical_ma : 0.0);
    std::string text = rail + " is " + good_for(*supply) + " and is asked for " + ma(asked);
    if (supply->burst_us) text += " for " + number(*supply->burst_us) + " µs";
    text += " at each " + rate.id + ": " + consequence(rate, *supply);
    const bool looked_at = traced_rail && (*traced_rail < 0 || *traced_rail == supply->rail);
    if (supply->heats_by_average)
        text += std::string(" (heat counts by its average") + (looked_at ? ")" : ": look at it with an oscilloscope)");
    return text;
}

}  // namespace tattletone::match
