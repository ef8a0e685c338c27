#pragma once

#include <cstddef>
#include <span>
#include <vector>

namespace tattletone::tones {

/// Mean of the bulk of exponentially distributed values (a power spectrum's), whatever a few of
/// them are: the fixed point of m = mean of min(x, 2m), over what that is for an exponential of
/// mean 1. Unbiased to 1 % from 32 values on; a quarter of them raised without limit raise it
/// by 2.5 dB.
double bulk_mean(std::span<const float> values);
/// The same of as many runs of `size` values as there are `means`, whose begins are `stride` apart.
void bulk_means(const float* values, std::size_t size, std::size_t stride, std::span<double> means);

/// Robust mean of the noise along a power spectrum: the bulk of each block of bins, then a trimmed
/// mean of seven neighbouring blocks. Where lines crowd a block, its own bulk counts; on a slope or
/// at the foot of a cliff, the louder neighbour's.
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
    /// One value of expand().
    float expanded(std::size_t bin) const;
    /// The powers of the bins from `first` on over expand()'s values.
    void whiten(std::span<const float> power, std::size_t first, std::span<float> white) const;
    std::size_t block() const { return block_; }

  private:
    // A straight piece of the floor: level + step * (offset + i) at its bin i.
    struct Piece {
        std::size_t last;  // the bin behind it
        float level, step;
        int offset;
    };
    Piece piece_at(std::size_t bin) const;

    std::size_t block_ = 1;
    std::vector<double> level_;
};

/// One-sided density of a 16-bit quantiser's noise at 48 kHz, -142 dBFS per Hz (a mean square of
/// 1/12 of the step squared over 24 kHz): what is quieter was made by an encoder, and no line in it
/// is sound.
inline constexpr double quietest_density = 3.2e-15;

/// Relative standard deviation of a floor that is made of blocks of so many bins: 0.038 for 128,
/// 0.076 for 32, as measured by tests/tones.
double floor_relative_sd(std::size_t block);

}  // namespace tattletone::tones
