#pragma once

#include <cstddef>
#include <span>
#include <string_view>
#include <vector>

namespace tattletone::spectrum {

/// A sum of cosines, w(t) = sum (-1)^m a_m cos(2 pi m t), 0 <= t < 1. Coefficients and their names:
/// F. J. Harris, "On the use of windows for harmonic analysis with the discrete Fourier transform",
/// Proc. IEEE 66(1), 1978; A. H. Nuttall, IEEE Trans. ASSP 29(1), 1981.
struct CosineWindow {
    std::string_view name;
    std::span<const double> coefficients;
};

extern const CosineWindow rectangular_window, hann_window, hamming_window, blackman_window, blackman_harris_window,
    nuttall_least_side_lobe_window;

/// `size` values in the periodic form (divided by N, not N - 1) that a spectrum wants.
std::vector<float> sample(const CosineWindow& window, std::size_t size);

/// Equivalent noise bandwidth in bins, (a_0² + ½ sum a_m²) / a_0².
double noise_bandwidth_bins(const CosineWindow& window);

/// Transform of the window at `bins` from the line, relative to the value at 0 (can be negative),
/// for N → ∞: a_0 sinc x + ½ sum a_m [sinc(x - m) + sinc(x + m)].
double response(const CosineWindow& window, double bins);

/// Loss for a line half-way between two bins, in dB, positive.
double scalloping_loss_db(const CosineWindow& window);

/// Correlation of the noise in two frames that overlap by `share` (0 to 1) of their length.
double overlap_correlation(const CosineWindow& window, double share);

}  // namespace tattletone::spectrum
