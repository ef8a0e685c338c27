#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "base/unset_vector.h"

namespace tattletone::tones {

/// The path through frames of scores whose sum is largest, moving by at most `reach` bins a frame
/// at a price for every bin moved: dynamic programming, exact.
class PathFinder {
  public:
    PathFinder(std::size_t frames, std::size_t bins, int reach, float price_a_bin);

    /// To be filled where best() is to look.
    std::span<float> row(std::size_t frame) { return std::span(score_).subspan(frame * bins_, bins_); }

    struct Path {
        std::vector<int> bin;  ///< by frame
        double sum = 0.0;      ///< of the scores, less the price of moving
    };
    /// Within bins first … last.
    Path best(std::size_t first, std::size_t last);

  private:
    std::size_t frames_, bins_;
    int reach_;
    float price_;
    base::UnsetVector<float> score_;
    base::UnsetVector<std::int8_t> from_;
    std::vector<float> best_, step_, previous_;
};

}  // namespace tattletone::tones
