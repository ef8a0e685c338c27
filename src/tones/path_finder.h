#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

namespace tattletone {

/// The path through frames of scores whose sum is largest, moving by at most `reach` bins a frame
/// at a price for every bin moved: dynamic programming, exact.
class PathFinder {
  public:
    PathFinder(std::size_t frames, std::size_t bins, int reach, float price_a_bin);

    std::span<float> row(std::size_t frame) {
        return std::span(score_).subspan(frame * bins_, bins_);
    }

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
    std::vector<float> score_;
    std::vector<std::int8_t> from_;
    std::vector<float> best_, step_, previous_;
};

}  // namespace tattletone
