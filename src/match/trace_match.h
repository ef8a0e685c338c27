#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "board/sheet/sheet.h"
#include "match/findings.h"
#include "match/model/case_evidence.h"
#include "match/model/parameters.h"
#include "tones/join/unit_tones.h"

namespace tattletone::match {

/// A rate that an oscilloscope saw on a wire.
struct TraceLine {
    std::string column;            ///< as the file names it
    int rail = -1;                 ///< index into BoardSheet::rails, -1: not known
    std::string warning;           ///< about the two, a whole sentence or empty
    double hz = 0.0, hz_sd = 0.0;  ///< without the clock error
    double clock_ppm = 50.0;       ///< of the scope, one standard deviation
    double sd() const;             ///< of `hz`, with it
};

/// A declared rate as the cause of what the trace shows.
struct TraceCause {
    std::string rate;
    std::string part_name;
    double probability = 0.0;  ///< before any recording
    double multiple = 1.0;     ///< the trace repeats at this times the rate: 1, 2 or 1/2
    double expected_hz = 0.0,
           offset_hz = 0.0;  ///< trace minus expected; for a wandering rate the nearest limit, 0 between
    bool on_rail = false;    ///< its part hangs on the trace's rail
};

/// All at 0.01 or more, the likeliest first; the rest to 1 is 'none of the declared rates'.
std::vector<TraceCause> causes_of(const board::BoardSheet& sheet, const TraceLine& line,
                                  const MatchParameters& parameters);

/// A declared rate above half the sampling rate.
struct FoldedRate {
    std::string rate;
    double hz = 0.0;
};
/// Of those on `line.rail` (or on none that is known) one that even sampling folds onto `line.hz`, itself or its
/// double, within its tolerance and the clock's error; a wandering one may fold onto any rate.
std::optional<FoldedRate> folded_rate(const board::BoardSheet& sheet, const TraceLine& line, double increment_seconds);

/// The trace as evidence. Each rate may be the one that the trace shows, with its probability of that; then its
/// deviation is known from the trace, to the clock's error and the rate's own change until the recording. The trace is
/// taken as of another moment with probability `trace_astray`, so it can speak against a rate by a factor of 1 /
/// `trace_astray` at most beside what the declared rates say; and a rate that visibly moves a wire has its prior odds
/// to sing multiplied by `trace_odds_factor` (weighted by that probability).
void add_trace(CaseEvidence& evidence, const board::BoardSheet& sheet, const TraceLine& line,
               const MatchParameters& parameters);

/// A tone beside the trace's rate or its nearest multiple.
struct TraceTone {
    int tone = 0;                ///< id
    double multiple = 1.0;       ///< whole, or 1/2
    double difference_hz = 0.0;  ///< tone minus multiple of the trace's rate
    double sd_hz = 0.0;          ///< of both, with both clocks' errors
    bool same = false;           ///< within three of these
    double by_chance = 0.0;      ///< that a tone of any frequency lies so near to a multiple
};
/// For each tone of the board (or unsure) the nearest multiple, where it is the same or within 0.5 %.
std::vector<TraceTone> tones_beside(const tones::UnitTones& unit, const TraceLine& line, double card_sd_ppm);

/// What a trace did to a diagnosis.
struct TraceJoin {
    TraceLine line;
    std::vector<TraceCause> causes;  ///< empty without a sheet
    std::vector<TraceTone> tones;
    std::map<std::string, double> without;  ///< probability of each suspect without the trace
};

/// The diagnosis with the trace; `join` (line and nothing else filled) takes what it did.
Findings diagnose_with_trace(const board::BoardSheet* sheet, tones::UnitTones unit, const MatchParameters& parameters,
                             CaseEvidence evidence, TraceJoin& join);

/// Index of the rail that a column or the user names, by its id or a part of it in whatever case; nothing where none or
/// several fit.
std::optional<int> rail_named(const board::BoardSheet& sheet, const std::string& name);

}  // namespace tattletone::match
