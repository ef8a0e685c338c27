#pragma once

#include <cmath>
#include <optional>
#include <string>
#include <vector>

namespace tattletone::board {

/// Which harmonics the drive of a rate has.
enum class Shape { pulse, square, sine };

enum class Regulator { linear, buck, boost, charge_pump };

struct Rail {
    std::string id;
    std::optional<Regulator> regulator;
    int fed_by = -1;                    ///< index of the rail that feeds it, -1: not said
    std::optional<double> v_in, v_out;  ///< v_in of a fed rail: where not declared, the feeder's v_out
    std::optional<double> v_in_min;     ///< the least that the source gives, before `path_mohm`
    std::optional<double> max_current_ma;
    std::optional<double> max_dissipation_mw;  ///< the package's limit at 25 °C
    std::optional<double> theta_ja_c_per_w, t_j_max_c;
    std::optional<double> ambient_c;
    std::optional<double> output_capacitance_uf, esr_mohm, dropout_v, quiescent_ma;
    std::optional<double> path_mohm;           ///< between the source and the regulator's input
    std::optional<double> efficiency_percent;  ///< of a switching regulator
};

/// A declared periodic activity of a part. Either `hz` or both `hz_min` and `hz_max`.
struct Rate {
    std::string id;                     ///< as in the sheet: "frame"
    std::string full_name;              ///< "ranger.frame"
    int part = 0;                       ///< index into BoardSheet::parts
    double hz = 0.0;                    ///< 0 for a wandering rate
    double hz_min = 0.0, hz_max = 0.0;  ///< 0 for a fixed rate
    double tolerance_ppm = 0.0;         ///< the maker's limits, two standard deviations; 0 where it wanders
    bool tolerance_assumed = false;     ///< the sheet gives none: `assumed_tolerance_ppm` stands in
    Shape shape = Shape::pulse;
    std::vector<int> active_in;                       ///< indices into states; empty: in every state
    bool adjustable = false;                          ///< the user can set another value on the bench
    double adjust_min_hz = 0.0, adjust_max_hz = 0.0;  ///< within these limits; 0: not said
    std::optional<double> burst_us;                   ///< how long the part draws its peak current
    bool wanders() const { return hz_max > 0.0; }
    double lowest_hz() const { return wanders() ? hz_min : hz * (1.0 - tolerance_ppm * 1e-6); }
    double highest_hz() const { return wanders() ? hz_max : hz * (1.0 + tolerance_ppm * 1e-6); }
    double nominal_hz() const { return wanders() ? std::sqrt(hz_min * hz_max) : hz; }
};

/// For a fixed rate without a declared tolerance: a plain crystal with its temperature.
inline constexpr double assumed_tolerance_ppm = 100.0;

struct Part {
    std::string id;
    std::string name;  ///< the id where the sheet gives no name
    int rail = -1;     ///< index into rails, -1: not said
    std::optional<double> typical_ma, peak_ma;
    std::optional<double> idle_ma;   ///< in states in which none of its rates runs; else the typical current
    std::optional<double> settle_s;  ///< how long it takes until switching it is through, for a toggle plan
    std::string spot;                ///< where it sits on the board, in the user's words
};

/// A board as its maker declared it. Every index is valid; ids are unique within their kind.
struct BoardSheet {
    std::string path;
    std::string name, revision;
    std::vector<std::string> states;
    std::vector<Rail> rails;
    std::vector<Part> parts;
    std::vector<Rate> rates;  ///< in the order of the sheet

    /// Index of a state, -1 where the sheet does not list it.
    int state_index(const std::string& state) const;
    bool active(const Rate& rate, int state) const;  ///< state -1: not said, so it may be active
};

}  // namespace tattletone::board
