#include "board/headroom.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace tattletone::board {
namespace {

constexpr double warm_c = 25.0;

const Rail& rail_at(const BoardSheet& sheet, int index) {
    return sheet.rails[static_cast<std::size_t>(index)];
}

bool switching(const Rail& rail) {
    return rail.regulator && *rail.regulator != Regulator::linear;
}

// mW lost in the regulator for each mA that it gives.
std::optional<double> loss_v_of(const Rail& rail) {
    if (!rail.v_out) return std::nullopt;
    if (rail.regulator == Regulator::linear && rail.v_in) return *rail.v_in - *rail.v_out;
    if (switching(rail) && rail.efficiency_percent)
        return std::abs(*rail.v_out) * (100.0 / *rail.efficiency_percent - 1.0);
    return std::nullopt;
}

std::string impossible_of(const Rail& rail) {
    if (!rail.regulator || !rail.v_in || !rail.v_out) return {};
    if (*rail.regulator == Regulator::linear && *rail.v_out >= *rail.v_in)
        return "a linear regulator gives less than its input";
    if (*rail.regulator == Regulator::buck && *rail.v_out >= *rail.v_in)
        return "a buck converter gives less than its input";
    if (*rail.regulator == Regulator::boost && *rail.v_out <= *rail.v_in)
        return "a boost converter gives more than its input";
    return {};
}

void limit_heat(const Rail& rail, RailLimits& limits) {
    limits.ambient_assumed = !rail.ambient_c;
    limits.ambient_c = rail.ambient_c.value_or(assumed_ambient_c);
    limits.t_j_max_assumed = !rail.t_j_max_c;
    limits.t_j_max_c = rail.t_j_max_c.value_or(assumed_t_j_max_c);
    limits.loss_v = loss_v_of(rail);
    limits.idle_loss_mw = rail.v_in.value_or(0.0) * rail.quiescent_ma.value_or(0.0);
    if (rail.max_dissipation_mw)
        limits.by_rating_mw = derated_mw(*rail.max_dissipation_mw, limits.t_j_max_c, limits.ambient_c);
    if (rail.theta_ja_c_per_w)
        limits.by_theta_mw = std::max(0.0, (limits.t_j_max_c - limits.ambient_c) / *rail.theta_ja_c_per_w * 1e3);
    if (!limits.by_rating_mw && !limits.by_theta_mw) return;
    constexpr double any = std::numeric_limits<double>::infinity();
    limits.package_mw = std::min(limits.by_rating_mw.value_or(any), limits.by_theta_mw.value_or(any));
    if (limits.loss_v && *limits.loss_v > 0.0)
        limits.heat_ma = std::max(0.0, (*limits.package_mw - limits.idle_loss_mw) / *limits.loss_v);
}

void limit_dropout(const Rail& rail, RailLimits& limits) {
    if (rail.regulator != Regulator::linear || !rail.v_out || !rail.dropout_v) return;
    const std::optional<double> lowest = rail.v_in_min ? rail.v_in_min : rail.v_in;
    if (!lowest) return;
    limits.spare_v = *lowest - *rail.dropout_v - *rail.v_out;
    if (*limits.spare_v <= 0.0)
        limits.dropout_ma = 0.0;
    else if (rail.path_mohm && *rail.path_mohm > 0.0)
        limits.dropout_ma = *limits.spare_v / *rail.path_mohm * 1e6;
}

bool runs_in(const BoardSheet& sheet, int part, int state) {
    bool has_rates = false;
    for (const Rate& rate : sheet.rates) {
        if (rate.part != part) continue;
        has_rates = true;
        if (sheet.active(rate, state)) return true;
    }
    return !has_rates;
}

Load load_of_part(const BoardSheet& sheet, int index, int state) {
    const Part& part = sheet.parts[static_cast<std::size_t>(index)];
    Load load;
    load.part = index;
    load.runs = runs_in(sheet, index, state);
    const std::optional<double> typical = part.typical_ma ? part.typical_ma : part.peak_ma;
    load.declared = typical || (!load.runs && part.idle_ma);
    load.typical_ma = load.runs ? typical.value_or(0.0) : part.idle_ma.value_or(typical.value_or(0.0));
    load.peak_ma = load.runs ? part.peak_ma.value_or(load.typical_ma) : load.typical_ma;
    return load;
}

std::vector<Load> loads_of(const BoardSheet& sheet, int rail, int state);

Load load_of_rail(const BoardSheet& sheet, int index, int state) {
    const Rail& fed = rail_at(sheet, index);
    Load load;
    load.rail = index;
    load.declared = false;
    for (const Load& inner : loads_of(sheet, index, state)) {
        load.declared = load.declared || inner.declared;
        load.typical_ma += inner.typical_ma;
        load.peak_ma += inner.peak_ma;
    }
    double factor = 1.0;
    if (switching(fed) && fed.v_in && fed.v_out) {
        load.lossless = !fed.efficiency_percent;
        factor = std::abs(*fed.v_out) / *fed.v_in * 100.0 / fed.efficiency_percent.value_or(100.0);
    }
    load.typical_ma = load.typical_ma * factor + fed.quiescent_ma.value_or(0.0);
    load.peak_ma = load.peak_ma * factor + fed.quiescent_ma.value_or(0.0);
    return load;
}

std::vector<Load> loads_of(const BoardSheet& sheet, int rail, int state) {
    std::vector<Load> loads;
    for (int i = 0; i < static_cast<int>(sheet.parts.size()); ++i)
        if (sheet.parts[static_cast<std::size_t>(i)].rail == rail) loads.push_back(load_of_part(sheet, i, state));
    for (int i = 0; i < static_cast<int>(sheet.rails.size()); ++i)
        if (rail_at(sheet, i).fed_by == rail) loads.push_back(load_of_rail(sheet, i, state));
    return loads;
}

bool all_bursts_short(const BoardSheet& sheet, const StateSupply& supply) {
    for (const Load& load : supply.loads) {
        if (load.peak_ma <= load.typical_ma) continue;
        if (load.part < 0) return false;
        for (const Rate& rate : sheet.rates)
            if (rate.part == load.part && sheet.active(rate, supply.state) &&
                rate.burst_us.value_or(short_burst_us) >= short_burst_us)
                return false;
    }
    return supply.peak_ma > supply.typical_ma;
}

std::optional<double> theta_of(const Rail& rail, const RailLimits& limits) {
    if (rail.theta_ja_c_per_w) return rail.theta_ja_c_per_w;
    if (rail.max_dissipation_mw && limits.t_j_max_c > warm_c)
        return theta_from_rating(*rail.max_dissipation_mw, limits.t_j_max_c);
    return std::nullopt;
}

void judge(const Rail& rail, const RailLimits& limits, StateSupply& supply) {
    if (limits.loss_v) {
        supply.loss_mw = std::max(0.0, *limits.loss_v) * supply.typical_ma + limits.idle_loss_mw;
        if (const auto theta = theta_of(rail, limits))
            supply.junction_c = junction_c(limits.ambient_c, *theta, *supply.loss_mw);
    }
    if (limits.spare_v) supply.left_v = *limits.spare_v - supply.peak_ma * rail.path_mohm.value_or(0.0) * 1e-6;
    if (!limits.impossible.empty()) {
        supply.verdict = Supply::starved;
        return;
    }
    if (!limits.good_for_ma) return;
    const double good_for = *limits.good_for_ma;
    supply.left_share = good_for > 0.0 ? 1.0 - supply.peak_ma / good_for : -1.0;
    if (supply.peak_ma > good_for || good_for <= 0.0) {
        supply.verdict = Supply::starved;
        supply.only_peaks_starve = supply.typical_ma <= good_for && good_for > 0.0;
    } else if (*supply.left_share < tight_share || supply.left_v.value_or(tight_volts) < tight_volts) {
        supply.verdict = Supply::tight;
    } else {
        supply.verdict = Supply::fine;
    }
    const bool nothing_declared =
        std::none_of(supply.loads.begin(), supply.loads.end(), [](const Load& load) { return load.declared; });
    if (nothing_declared && supply.verdict == Supply::fine) supply.verdict = Supply::unknown;
}

}  // namespace

double dissipation_mw(double v_in, double v_out, double current_ma, double quiescent_ma) {
    return (v_in - v_out) * current_ma + v_in * quiescent_ma;
}

double junction_c(double ambient_c, double theta_ja_c_per_w, double power_mw) {
    return ambient_c + theta_ja_c_per_w * power_mw * 1e-3;
}

double theta_from_rating(double max_dissipation_mw, double t_j_max_c) {
    return (t_j_max_c - warm_c) / max_dissipation_mw * 1e3;
}

double derated_mw(double max_dissipation_mw, double t_j_max_c, double ambient_c) {
    if (t_j_max_c <= ambient_c) return 0.0;
    if (ambient_c <= warm_c) return max_dissipation_mw;
    return max_dissipation_mw * (t_j_max_c - ambient_c) / (t_j_max_c - warm_c);
}

double charge_droop_v(double current_ma, double burst_us, double capacitance_uf) {
    return current_ma * 1e-3 * burst_us / capacitance_uf;
}

double esr_droop_v(double current_ma, double esr_mohm) {
    return current_ma * esr_mohm * 1e-6;
}

double capacitance_for_uf(double volts, double current_ma, double burst_us, double esr_mohm) {
    const double left = volts - esr_droop_v(current_ma, esr_mohm);
    return left > 0.0 ? current_ma * 1e-3 * burst_us / left : std::numeric_limits<double>::infinity();
}

const StateSupply& RailSupply::worst() const {
    return *std::max_element(states.begin(), states.end(), [](const StateSupply& a, const StateSupply& b) {
        return a.verdict != b.verdict ? a.verdict < b.verdict : a.peak_ma < b.peak_ma;
    });
}

RailLimits limits_of(const Rail& rail) {
    RailLimits limits;
    limits.rating_ma = rail.max_current_ma;
    limits.impossible = impossible_of(rail);
    limit_heat(rail, limits);
    limit_dropout(rail, limits);
    const auto consider = [&](const std::optional<double>& current, Limit why) {
        if (!current || (limits.good_for_ma && *limits.good_for_ma <= *current)) return;
        limits.good_for_ma = current;
        limits.limited_by = why;
    };
    consider(limits.rating_ma, Limit::rating);
    consider(limits.heat_ma, Limit::heat);
    consider(limits.dropout_ma, Limit::dropout);
    return limits;
}

RailSupply supply_of(const BoardSheet& sheet, int index) {
    const Rail& rail = rail_at(sheet, index);
    RailSupply found;
    found.rail = index;
    found.limits = limits_of(rail);
    const int states = static_cast<int>(sheet.states.size());
    for (int state = states == 0 ? -1 : 0; state < states; ++state) {
        StateSupply supply;
        supply.state = state;
        supply.loads = loads_of(sheet, index, state);
        for (const Load& load : supply.loads) {
            supply.typical_ma += load.typical_ma;
            supply.peak_ma += load.peak_ma;
        }
        supply.short_bursts = all_bursts_short(sheet, supply);
        judge(rail, found.limits, supply);
        found.states.push_back(std::move(supply));
    }
    if (!rail.output_capacitance_uf || *rail.output_capacitance_uf <= 0.0) return found;
    for (int i = 0; i < static_cast<int>(sheet.rates.size()); ++i) {
        const Rate& rate = sheet.rates[static_cast<std::size_t>(i)];
        const Part& part = sheet.parts[static_cast<std::size_t>(rate.part)];
        if (part.rail != index || !rate.burst_us || !part.peak_ma) continue;
        found.droops.push_back({i, *rate.burst_us, *part.peak_ma,
                                charge_droop_v(*part.peak_ma, *rate.burst_us, *rail.output_capacitance_uf),
                                esr_droop_v(*part.peak_ma, rail.esr_mohm.value_or(0.0))});
    }
    return found;
}

Needs needs_of(const BoardSheet& sheet, const RailSupply& supply) {
    const Rail& rail = rail_at(sheet, supply.rail);
    const RailLimits& limits = supply.limits;
    double typical = 0.0, peak = 0.0;
    for (const StateSupply& state : supply.states) {
        typical = std::max(typical, state.typical_ma);
        peak = std::max(peak, state.peak_ma);
    }
    Needs needs;
    needs.current_ma = peak / (1.0 - tight_share);
    if (limits.loss_v && *limits.loss_v > 0.0 && limits.t_j_max_c > std::max(limits.ambient_c, warm_c)) {
        const double rise = limits.t_j_max_c - limits.ambient_c;
        const double from_25 = (limits.t_j_max_c - warm_c) / std::min(rise, limits.t_j_max_c - warm_c);
        const auto lost = [&](double current) {
            return *limits.loss_v * current / (1.0 - tight_share) + limits.idle_loss_mw;
        };
        needs.peak_mw = lost(peak);
        needs.typical_mw = lost(typical);
        needs.peak_rated_mw = *needs.peak_mw * from_25;
        needs.typical_rated_mw = *needs.typical_mw * from_25;
        if (*needs.peak_mw > 0.0) needs.peak_theta = rise / *needs.peak_mw * 1e3;
        if (*needs.typical_mw > 0.0) needs.typical_theta = rise / *needs.typical_mw * 1e3;
    }
    if (rail.regulator != Regulator::linear || !rail.v_out) return needs;
    const std::optional<double> lowest = rail.v_in_min ? rail.v_in_min : rail.v_in;
    if (lowest) needs.dropout_v = *lowest - *rail.v_out - peak * rail.path_mohm.value_or(0.0) * 1e-6 - tight_volts;
    if (limits.package_mw && peak > 0.0 && rail.v_in && limits.heat_ma.value_or(peak) < needs.current_ma) {
        // P = (V_in - V_out) · I + V_in · I_q, for V_in
        const double quiescent = rail.quiescent_ma.value_or(0.0);
        needs.v_in_for_this_package =
            (*limits.package_mw + *rail.v_out * needs.current_ma) / (needs.current_ma + quiescent);
    }
    return needs;
}

}  // namespace tattletone::board
