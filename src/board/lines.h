#pragma once

#include <string>
#include <vector>

#include "board/line_kinds.h"
#include "board/sheet/sheet.h"

namespace tattletone::board {

/// A frequency at which a rate could be heard:
///     hz = fold(| own_multiple · own + other_multiple · other |, sample rate)
/// with `own` and `other` the true values of the two rates. Only an image folds.
struct Line {
    int rate = 0;  ///< index into BoardSheet::rates: the suspect
    LineKind kind = LineKind::harmonic;
    int order = 1;   ///< harmonic, image: n. subharmonic: n of n/2 (odd). sideband: ±m. beat: n of both
    int other = -1;  ///< sideband, beat: index of the other rate
    double own_multiple = 1.0;
    double other_multiple = 0.0;
    double nominal_hz = 0.0;             ///< for a wandering rate: at the geometric mean of its limits
    double low_hz = 0.0, high_hz = 0.0;  ///< window from the tolerances of the rates alone (no sound-card error)
};

/// Multiples of a rate that are looked at: harmonics, images, families.
inline constexpr int most_order = 64;

struct LineLimits {
    double low_hz = 40.0, high_hz = 20000.0;  ///< where a line must fall to be of use
    double sample_rate_hz = 0.0;              ///< of the recording; 0: no images
};

/// All lines of one rate, by kind and order: every harmonic in the band whatever the shape (how likely
/// each is to be emitted is the match's business), halves n/2 up to n = 5, first and second sidebands
/// of the first eight harmonics by each fixed rate below 2 kHz, images of harmonics
/// above half the sample rate (to twice the sample rate), beats between two inaudible rates.
std::vector<Line> lines_of(const BoardSheet& sheet, int rate, const LineLimits& limits);

/// Where an ideal sampler puts `hz`: r = hz mod fs, then the nearer of r and fs - r.
double fold(double hz, double sample_rate_hz);

}  // namespace tattletone::board
