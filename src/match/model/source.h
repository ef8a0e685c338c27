#pragma once

#include <string>
#include <vector>

#include "match/model/deviation_prior.h"
#include "match/model/observations.h"

namespace tattletone::match {

/// Drives of one shape differ: short and long pulses, even and uneven square waves, sound that follows the drive or its
/// square. All lines of a rate share one of two characters.
inline constexpr int drive_characters = 2;

enum class SourceKind { fixed, wandering, family };

/// What a source is that the sheet does not declare. `mains`: multiples of the grid or of a rectifier behind it;
/// `machine`: a family that moves, as of a fan, a motor or a charger; `twin`: something on the clock of a rate that was
/// switched off, or that rate where the switching failed; or in the room at that rate.
enum class Neighbour { none, family, mains, machine, twin };

/// A line of a fixed rate, linear in the rate's relative deviation x: hz = at_zero + slope · x.
struct ExpectedLine {
    board::LineKind kind = board::LineKind::harmonic;
    int order = 1;
    int other = -1;
    double at_zero_hz = 0.0, slope_hz = 0.0;
    double other_slope_hz = 0.0;             ///< by the other rate's relative deviation
    double extra_sd_hz = 0.0;                ///< from the other rate's deviation
    double beat_sd = 0.0;                    ///< the same of a beat, as a share of x: one for all its orders
    double emission[drive_characters] = {};  ///< probability that the drive has it
    double envelope_db = 0.0;                ///< against the fundamental
    int carrier = 0;                         ///< sideband: the harmonic that it stands beside
    bool expected = false;                   ///< its absence counts
    TakeSet takes;                           ///< in which it is there
    bool same_line(const ExpectedLine& line) const {
        return kind == line.kind && order == line.order && other == line.other && carrier == line.carrier;
    }
};

/// Something that may sing: a declared rate, or a harmonic family that nobody declared.
struct Source {
    SourceKind kind = SourceKind::fixed;
    int rate = -1;  ///< index into the sheet's rates; -1: not declared
    Neighbour neighbour = Neighbour::none;
    int twin_of = -1;           ///< a twin: of which rate
    double mains_hz = 0.0;      ///< mains
    bool mains_heard = false;   ///< lines are told against what each take tells of the grid
    double steady_share = 0.0;  ///< prior of being steady; else it moves
    bool in_room = false;       ///< a twin that is not of this board
    double from_room = 0.0;     ///< that it falls as what is in the room when the microphone moves away
    std::size_t fewest_tones = 1;
    board::Shape shape = board::Shape::pulse;
    bool loose = false;  ///< not timed by a crystal or resonator: may drift
    double log_prior_odds = 0.0;
    double tolerance = 0.0;  ///< relative
    DeviationPrior prior;
    std::vector<ExpectedLine> lines;  ///< fixed rates only; the others' are n · exp(x)
    std::vector<double> active;       ///< by take: probability that it runs, 0, 1 or between
    std::string spot;                 ///< where its part sits, in the user's words
    std::vector<Comb> combs;          ///< that it may make, at most one as a rule
    bool may_resonate = false;        ///< of a fixed one: steady more likely than not
    /// It is no part of the board: what it makes is told as from elsewhere.
    bool is_elsewhere() const { return neighbour == Neighbour::mains || neighbour == Neighbour::machine || in_room; }
    /// The same line in another take, -1 where it is not in the band there.
    int line_in(const ExpectedLine& line, std::size_t take) const;
};

std::vector<Source> sources_of(const Observations& observations);
DeviationPrior deviation_prior_of(const board::Rate& rate, const MatchParameters& parameters,
                                  const CaseEvidence& evidence);

/// Probability that a drive of this shape has its n-th harmonic, and the harmonic's mean level against the first, in
/// dB.
double harmonic_emission(const MatchParameters& parameters, board::Shape shape, int character, int n);
double harmonic_envelope_db(const MatchParameters& parameters, board::Shape shape, int n);

/// How a source's lines move: it is steady or it moves, and its lines follow, up to a finder's errors.
struct Movement {
    double log_steady = 0.0, log_moving = 0.0;  ///< prior of the two
};
Movement movement_of(const Source& source);
/// Log probability of what was found of a tone if its source is steady, or moves; that of its movement relative to how
/// a stray would move.
Movement log_found(const MatchParameters& parameters, const Source& source, const ObservedTone& tone);
/// What it adds that two steady lines with a known drift, of one source that moves, drift alike.
double log_same_drift(const MatchParameters& parameters, const ObservedTone& anchor, const ObservedTone& tone);

}  // namespace tattletone::match
