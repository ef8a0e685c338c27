#pragma once

#include <complex>
#include <cstddef>
#include <span>
#include <vector>

#include "spectrum/transform.h"

namespace tattletone {

/// Power spectra of overlapping Hann frames, one row a frame. Values are one-sided densities in
/// units² per Hz: white noise of variance s² at rate f_s reads s² / (f_s / 2) on average.
class FrameSpectra {
  public:
    /// Every allocation but that of the rows is made here. `frame_size` as RealTransform wants it.
    FrameSpectra(std::size_t frame_size, double sample_rate_hz);

    std::size_t frame_size() const { return transform_.size(); }
    std::size_t bins() const { return transform_.bins(); }
    double bin_hz() const { return bin_hz_; }

    /// Rows of `bins` values each, starting at bin 0; frames begin every `hop` samples and lie wholly
    /// within `samples`. `bins` is at most bins(). Fewer samples than a frame give no row.
    std::vector<float> compute(std::span<const float> samples, std::size_t hop, std::size_t bins);

  private:
    RealTransform transform_;
    std::vector<float> window_;
    std::vector<float> frame_;
    std::vector<std::complex<float>> spectrum_;
    double bin_hz_;
    double scale_;
};

/// Welch's average of Hann frames with half overlap: the density in units² per Hz, bins() values.
/// P. D. Welch, IEEE Trans. Audio Electroacoust. 15(2), 1967. Empty where `samples` is shorter than a frame.
std::vector<double> welch_density(std::span<const float> samples, double sample_rate_hz,
                                  std::size_t frame_size);

/// Independent averages that `frames` Hann frames with half overlap are worth, 18 K² / (19 K - 1)
/// (Percival and Walden, Spectral Analysis for Physical Applications, section 6.17: ν = 36 K² / (19 K - 1)
/// degrees of freedom, two for each average).
double effective_averages(int frames);

}  // namespace tattletone
