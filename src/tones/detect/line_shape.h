#pragma once

#include <complex>
#include <optional>
#include <vector>

#include "tones/detect/line_fit.h"
#include "tones/detect/present_fit.h"
#include "tones/detect/steady.h"

namespace tattletone::tones {

// What the amplitudes `parts` of a line in equal parts of a segment tell of it. `noise` is the mean noise power of a
// bin, `seconds` the segment's length.

/// Near the threshold the error is larger than the bound, which holds for strong lines.
double low_signal_growth(const SteadyLine& line);

/// Relative deviation of the amplitude while the line is there.
double unsteadiness(const std::vector<std::complex<double>>& parts, const PresentFit& present, double part_noise);

/// Phase left over by part tells how far the line is from a steady one: a slope of frequency, and noise of its own,
/// which makes its mean frequency less certain.
void set_path(SteadyLine& line, double bin_sd, double noise, const std::vector<std::complex<double>>& parts,
              double seconds);

/// A line that moves through several bins leaves a piece or two of itself in the whole segment's spectrum: the sweep
/// that holds more than all of them, together `pieces` of power, is the line. `fit` is one of them, whose `parts` have
/// no neighbour within `widest_sweep_bins` taken off.
std::optional<SteadyLine> swept_line(const std::vector<std::complex<double>>& parts, const LineFit& fit, double noise,
                                     double pieces, double seconds);

}  // namespace tattletone::tones
