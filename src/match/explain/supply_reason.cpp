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

std::string consequence(const board::Rate& rate, const board::RateSupply& supply) {
    std::string text = "the rail is likely to dip once per " + rate.id;
    if (supply.droop_v) {
        const double volts = *supply.droop_v;
        text += ", by up to " + (volts < 0.1 ? number(volts * 1e3) + " mV" : number(volts) + " V");
    }
    if (rate.wanders()) return text + ", a line that wanders with it";
    const double khz = rate.hz / 1e3;
    text += ", which is a " + (rate.hz < 1000.0 ? number(rate.hz) + " Hz" : number(khz) + " kHz") + " line";
    return rate.hz > highest_audible_hz ? text + ", inaudible by itself" : text;
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
    std::string text = "the " + rate.id + " draws " + ma(supply->own_peak_ma);
    if (supply->burst_us) text += " for " + number(*supply->burst_us) + " µs";
    if (supply->strain == Strain::with_others)
        text += " on top of " + ma(supply->others_typical_ma) + " of the other parts";
    text += " from a rail " + good_for(*supply) + ": " + consequence(rate, *supply);
    if (supply->heats_by_average) text += "; bursts this short reach a limit of heat only by their average";
    const bool looked_at = traced_rail && (*traced_rail < 0 || *traced_rail == supply->rail);
    if (supply->heats_by_average && !looked_at) text += ", so look at the rail with an oscilloscope";
    return text;
}

}  // namespace tattletone::match
