#pragma once

#include <complex>
#include <cstddef>
#include <span>
#include <vector>

namespace tattletone::tones {

/// The bins of one whole segment of sound, transformed once without a window, divided by N, with
/// the phase referred to the middle of the segment. A steady line of peak amplitude a at `bin`
/// reads (a/2) e^{i phase} D(bin - k) with D the Dirichlet kernel sin(pi x) / (N sin(pi x / N)).
class SegmentSpectrum {
  public:
    SegmentSpectrum(std::span<const float> samples, double sample_rate_hz);

    std::size_t bins() const { return bins_.size(); }
    double seconds() const { return seconds_; }
    double bin_hz() const { return 1.0 / seconds_; }
    std::span<const std::complex<float>> values() const { return bins_; }
    /// With a Hann window, made from three bins: a line on a bin reads the same as without a
    /// window.
    std::complex<double> hann(std::size_t bin) const;

  private:
    std::vector<std::complex<float>> bins_;
    double seconds_;
};

/// A steady line fitted to the bins around it.
struct LineFit {
    double bin = 0.0;                     ///< where, in bins of the segment
    std::complex<double> half_amplitude;  ///< (a/2) e^{i phase at the middle}
    double noise_gain = 1.0;              ///< noise power of half_amplitude over that of a plain bin
    double bin_sd = 0.0;                  ///< one standard deviation of `bin` for the noise given
    double residual = 0.0;                ///< mean power that the fit leaves in the bins that it used
};

/// Maximum-likelihood fit of one line in white noise of mean power `noise` a bin, after the lines
/// of `others` are subtracted. `start` is within half a bin of the maximum. Uses 24 bins on each
/// side: the rest of a line's information, about 1/50 of it, is left to keep neighbours apart.
LineFit fit_line(const SegmentSpectrum& spectrum, double start, double noise, std::span<const LineFit> others);

/// The same on Hann-windowed bins, 4 on each side: twice as uncertain, but not disturbed by a
/// line that is strong, near and not steady enough to be subtracted.
LineFit fit_line_hann(const SegmentSpectrum& spectrum, double start, double noise);

/// Complex amplitude of a fitted line in `count` equal parts of the segment, each the mean over
/// that part, from 2·count bins on each side. Constant for a steady line; the noise of one part is
/// `count` times that of the whole line's amplitude.
std::vector<std::complex<double>> amplitude_by_part(const SegmentSpectrum& spectrum, const LineFit& line,
                                                    std::span<const LineFit> others, std::size_t count);

}  // namespace tattletone::tones
