#pragma once

#include <complex>
#include <span>

#include "tones/detect/line_fit.h"

namespace tattletone::tones {

/// A line that sounds from `begin` to `end` only, in shares of the segment.
struct PresentFit {
    double begin = 0.0, end = 1.0;
    double bin = 0.0, bin_sd = 0.0;
    std::complex<double> half_amplitude;  ///< while it sounds
    double outside_share = 1.0;           ///< power a part outside that time over that of one inside
};

/// When a fitted line sounds, and its fit over that time alone: on a line that is there for a half,
/// the fit over the whole segment is several times less certain than it believes. Whole where the
/// line is there for nearly all of the segment or too weak to tell. `noise` is the mean noise power
/// of a bin.
PresentFit fit_while_present(const SegmentSpectrum& spectrum, const LineFit& line, std::span<const LineFit> others,
                             double noise);

}  // namespace tattletone::tones
