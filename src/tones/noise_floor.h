#pragma once

#include <cstddef>
#include <span>
#include <vector>

namespace tattletone {

/// Robust mean of the noise along a power spectrum: medians of blocks of bins, each divided by what
/// the same order statistic of exponentially distributed power is worth (so the mean is unbiased),
/// then a trimmed mean of seven neighbouring blocks. Where lines crowd a block, its own median
/// counts.
class NoiseFloor {
  public:
    NoiseFloor() = default;
    /// `power` must not be empty; `block` bins make a block (4 or more). The floor is nowhere below
    /// `least`.
    NoiseFloor(std::span<const float> power, std::size_t block, double least);

    /// Mean noise power at a bin, linear between the centres of the blocks.
    double at(double bin) const;
    /// The same for all bins from 0 on.
    void expand(std::span<float> values) const;

  private:
    std::size_t block_ = 1;
    std::vector<double> level_;
};

/// One-sided density of a 16-bit quantiser's noise at 48 kHz, -142 dBFS per Hz (a mean square of
/// 1/12 of the step squared over 24 kHz): what is quieter was made by an encoder, and no line in it
/// is sound.
inline constexpr double quietest_density = 3.2e-15;

/// Relative standard deviation of a floor that is made of blocks of so many bins. [measured by
/// tests/tones; near 0.046 for 128]
double floor_relative_sd(std::size_t block);

/// Expected value of the k-th smallest of n exponentials of mean 1: sum of 1/i for i = n - k + 1 …
/// n.
double exponential_order_mean(std::size_t k, std::size_t n);

}  // namespace tattletone
