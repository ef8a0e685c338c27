#pragma once

#include <optional>
#include <string>
#include <vector>

#include "board/sheet/sheet.h"

namespace tattletone::board {

/// What a rail can really supply against what its parts draw. Steady state, worked by hand as in any
/// regulator's data sheet:
///     P_D = (V_in - V_out) · I_out + V_in · I_q        T_J = T_A + theta_JA · P_D
/// Currents in mA, powers in mW. Formulas and worked examples: makers' application notes for linear
/// regulators.

double dissipation_mw(double v_in, double v_out, double current_ma, double quiescent_ma);
double junction_c(double ambient_c, double theta_ja_c_per_w, double power_mw);
/// From a limit that holds at 25 °C.
double theta_from_rating(double max_dissipation_mw, double t_j_max_c);
/// A straight line from the limit at 25 °C to nothing at t_j_max; the limit itself below 25 °C.
double derated_mw(double max_dissipation_mw, double t_j_max_c, double ambient_c);
/// Volts that a capacitor loses to a burst while the regulator does not help.
double charge_droop_v(double current_ma, double burst_us, double capacitance_uf);
double esr_droop_v(double current_ma, double esr_mohm);
/// Capacitance for which both together stay within `volts`; infinite where the ESR alone exceeds it.
double capacitance_for_uf(double volts, double current_ma, double burst_us, double esr_mohm);

inline constexpr double assumed_t_j_max_c = 125.0, assumed_ambient_c = 25.0;
/// A rail is tight where a smaller share than this is left at the peaks, or fewer volts over the dropout.
inline constexpr double tight_share = 0.2, tight_volts = 0.1;
/// Bursts shorter than this heat a package by their average (thermal time constants of small packages
/// are longer; common practice).
inline constexpr double short_burst_us = 1000.0;

enum class Limit { none, rating, heat, dropout };
enum class Supply { unknown, fine, tight, starved };

struct RailLimits {
    std::optional<double> rating_ma;
    /// Heat. `package_mw` is the limit at the ambient temperature: the smaller one where the sheet gives
    /// both a dissipation and a theta_JA. Absent where the rail is no linear regulator and has no efficiency.
    double ambient_c = assumed_ambient_c, t_j_max_c = assumed_t_j_max_c;
    bool ambient_assumed = false, t_j_max_assumed = false;
    std::optional<double> by_rating_mw, by_theta_mw, package_mw;
    std::optional<double> loss_v;  ///< what each mA costs: mW lost per mA of output
    double idle_loss_mw = 0.0;     ///< V_in · I_q
    std::optional<double> heat_ma;
    /// Dropout, of linear regulators. `spare_v`: V_in,min - dropout - V_out at no current.
    std::optional<double> spare_v, dropout_ma;
    std::optional<double> good_for_ma;  ///< the smallest
    Limit limited_by = Limit::none;
    std::string impossible;  ///< why this kind of regulator cannot make v_out from v_in
};

/// One part, or one rail that this one feeds.
struct Load {
    int part = -1, rail = -1;
    bool runs = true;       ///< one of its rates is active, or it has none
    bool declared = true;   ///< false: the sheet gives no current, so it is not counted
    bool lossless = false;  ///< a fed rail without a declared efficiency
    double typical_ma = 0.0, peak_ma = 0.0;
};

struct StateSupply {
    int state = -1;  ///< -1: the sheet has no states
    std::vector<Load> loads;
    double typical_ma = 0.0, peak_ma = 0.0;
    Supply verdict = Supply::unknown;
    std::optional<double> left_share;           ///< of what the rail is good for, at the peaks; negative where starved
    std::optional<double> left_v;               ///< over the dropout at the peaks
    std::optional<double> loss_mw, junction_c;  ///< at the typical currents
    bool only_peaks_starve = false;             ///< the typical currents are within
    bool short_bursts = false;                  ///< every peak belongs to a declared burst below `short_burst_us`
};

struct Droop {
    int rate = 0;
    double burst_us = 0.0, current_ma = 0.0;
    double charge_v = 0.0, esr_v = 0.0;
    double total_v() const { return charge_v + esr_v; }
};

struct RailSupply {
    int rail = 0;
    RailLimits limits;
    std::vector<StateSupply> states;
    std::vector<Droop> droops;  ///< of bursts, where the rail's capacitance is declared
    const StateSupply& worst() const;
};

RailLimits limits_of(const Rail& rail);
RailSupply supply_of(const BoardSheet& sheet, int rail);

/// What a regulator in this place must have for the worst state, with `tight_share` to spare.
struct Needs {
    double current_ma = 0.0;
    std::optional<double> peak_mw, typical_mw;  ///< lost in it at the peaks as if they lasted, and on average
    std::optional<double> peak_rated_mw, typical_rated_mw;  ///< the same as a limit at 25 °C
    std::optional<double> peak_theta, typical_theta;
    std::optional<double> dropout_v;              ///< at most
    std::optional<double> v_in_for_this_package;  ///< at most, for the peaks; where a lower input would do
};
Needs needs_of(const BoardSheet& sheet, const RailSupply& supply);

}  // namespace tattletone::board
