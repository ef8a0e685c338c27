#pragma once

#include <complex>
#include <span>

namespace tattletone::tones {

/// A line whose frequency goes evenly from one end of a segment to the other.
struct SweepFit {
    double bin_offset = 0.0;  ///< of the frequency at the middle, from that of the parts
    double drift_bins = 0.0;  ///< end less start
    double drift_sd = 0.0;    ///< one standard deviation of it, in bins; 0 where nothing could be told
    std::complex<double> half_amplitude;
};

/// The drift of a line that is steady or nearly so, and what it is known to: sqrt(90 / s) / pi bins
/// for a line of s times the noise of one bin, the Cramer-Rao bound of a quadratic phase (its
/// regression on t² less 1/12 over the segment, by the phase's variance 1 / 2s).
/// `parts`: its complex amplitude in equal parts, as amplitude_by_part() gives it; `noise`: mean
/// noise power of a bin.
SweepFit fit_slow_sweep(std::span<const std::complex<double>> parts, double noise);

/// The best of all sweeps of up to `widest_sweep_bins` whose middle is within a quarter of that
/// from the frequency of `parts`.
SweepFit fit_any_sweep(std::span<const std::complex<double>> parts, double noise);

inline constexpr double widest_sweep_bins = 16.0;

}  // namespace tattletone::tones
