#pragma once

#include <array>
#include <span>
#include <vector>

#include "support/names.h"
#include "support/random.h"

namespace tattletone::scenes {

using Signal = std::vector<double>;

/// A value over time, given every `control_samples` samples and joined by straight lines.
inline constexpr int control_samples = 64;
using Path = std::vector<double>;
std::size_t path_length(std::size_t samples);
Path constant_path(std::size_t samples, double value);

/// Ornstein-Uhlenbeck walk of standard deviation 1 and the given correlation time, smoothed once
/// more over a fifth of it, so that it is continuous in slope.
Path smooth_walk(std::size_t samples, double sample_rate_hz, double seconds, Random& random);

double mean_of(const Path& path);

/// Adds amplitude(t) · cos(2π multiple ∫ hz dt + phase).
void add_line(std::span<double> to, double sample_rate_hz, const Path& hz, double multiple, const Path& amplitude,
              double phase);
void add_line(std::span<double> to, double sample_rate_hz, double hz, double amplitude, double phase);

/// A sum of cosines of one moving fundamental, weights[k-1] for the k-th; cheap where all move together.
void add_family(std::span<double> to, double sample_rate_hz, std::span<const double> hz_each_sample,
                std::span<const double> amplitude_each_sample, std::span<const double> weights);

/// A second-order filter section. Formulae of the shelves and peaks: R. Bristow-Johnson, "Cookbook
/// formulae for audio EQ biquad filter coefficients", W3C note, 2021.
struct Biquad {
    double b0 = 1.0, b1 = 0.0, b2 = 0.0, a1 = 0.0, a2 = 0.0;

    static Biquad low_pass(double hz, double q, double sample_rate_hz);
    static Biquad high_pass(double hz, double q, double sample_rate_hz);
    static Biquad band_pass(double hz, double q, double sample_rate_hz);  ///< 0 dB at the centre
    static Biquad peak(double hz, double q, double gain_db, double sample_rate_hz);
    static Biquad first_order_low_pass(double hz, double sample_rate_hz);

    double power_at(double hz, double sample_rate_hz) const;
    void run(std::span<double> signal) const;
};

/// Gaussian noise through filters, with a density that is known and not estimated.
struct NoiseSource {
    double rms = 0.0;  ///< of the white noise before the filters
    std::vector<Biquad> filters;

    double density(double hz, double sample_rate_hz) const;  ///< mean square per Hz, one-sided
    void add_to(std::span<double> to, Random& random) const;
};

/// ECMA-418-1, formula (2): width of the critical band.
double critical_band_hz(double hz);

/// Rounds to 16 bits and clips, as a sound card does. No dither: the noise is the dither.
std::vector<float> quantise_16_bit(std::span<const double> signal);

}  // namespace tattletone::scenes
