#pragma once

#include <complex>
#include <cstddef>
#include <span>
#include <vector>

#include "base/unset_vector.h"
#include "spectrum/transform.h"

namespace tattletone::spectrum {

/// Power spectra of Hann frames that overlap by half, one row a frame. Values are one-sided densities
/// in units² per Hz: white noise of variance s² at rate f_s reads s² / (f_s / 2) on average.
struct Frames {
    std::size_t count = 0;  ///< rows; none where the samples are fewer than a frame
    std::size_t bins = 0;   ///< values a row, bin 0 at 0 Hz, the last at half the sample rate
    double bin_hz = 0.0;
    double frame_seconds = 0.0, hop_seconds = 0.0;
    base::UnsetVector<float> rows;

    std::span<const float> row(std::size_t frame) const { return std::span(rows).subspan(frame * bins, bins); }
    double centre_seconds(std::size_t frame) const {
        return static_cast<double>(frame) * hop_seconds + 0.5 * frame_seconds;
    }
};

/// `frame_size` as RealTransform wants it.
Frames frame_spectra(std::span<const float> samples, double sample_rate_hz, std::size_t frame_size);

/// Mean of the rows, `bins` values.
std::vector<double> mean_density(const Frames& frames);

/// Welch's average of Hann frames with half overlap: the density in units² per Hz, bins() values.
/// P. D. Welch, IEEE Trans. Audio Electroacoust. 15(2), 1967. Empty where `samples` is shorter than a frame.
std::vector<double> welch_density(std::span<const float> samples, double sample_rate_hz, std::size_t frame_size);

/// Independent averages that `frames` Hann frames with half overlap are worth, 18 K² / (19 K - 1)
/// (Percival and Walden, Spectral Analysis for Physical Applications, section 6.17: ν = 36 K² / (19 K - 1)
/// degrees of freedom, two for each average).
double effective_averages(int frames);

}  // namespace tattletone::spectrum
