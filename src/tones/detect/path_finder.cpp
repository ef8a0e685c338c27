#include "tones/detect/path_finder.h"

#include <algorithm>

#include "base/wide_loops.h"

namespace tattletone::tones {

PathFinder::PathFinder(std::size_t frames, std::size_t bins, int reach, float price_a_bin)
    : frames_(frames),
      bins_(bins),
      reach_(reach),
      price_(price_a_bin),
      score_(frames * bins),
      from_(frames * bins),
      best_(bins),
      step_(bins),
      previous_(bins + 2 * static_cast<std::size_t>(reach)) {}

TATTLETONE_WIDE_LOOPS
PathFinder::Path PathFinder::best(std::size_t first, std::size_t last) {
    const std::size_t width = last - first + 1;
    const auto reach = static_cast<std::size_t>(reach_);
    const auto begin = previous_.begin() + reach_;
    const auto end = begin + static_cast<std::ptrdiff_t>(width);
    std::fill(previous_.begin(), previous_.end(), -1e9f);
    std::copy_n(row(0).begin() + static_cast<std::ptrdiff_t>(first), width, begin);
    for (std::size_t m = 1; m < frames_; ++m) {
        const float* const here = score_.data() + m * bins_ + first;
        std::int8_t* const from = from_.data() + m * bins_ + first;
        // The step is carried as a float beside the score: equal widths let the compiler use
        // vectors.
        float* const best = best_.data();
        float* const step_of = step_.data();
        for (std::size_t k = 0; k < width; ++k) {
            best[k] = previous_[k + reach];
            step_of[k] = 0.0f;
        }
        for (int step = 1; step <= reach_; ++step) {
            const auto bins = static_cast<float>(step);
            const float cost = price_ * bins;
            const float* const down = previous_.data() + reach_ - step;
            const float* const up = previous_.data() + reach_ + step;
            for (std::size_t k = 0; k < width; ++k) {
                const float a = down[k] - cost, b = up[k] - cost;
                const float better = a >= b ? a : b;
                const float where = a >= b ? -bins : bins;
                step_of[k] = better > best[k] ? where : step_of[k];
                best[k] = better > best[k] ? better : best[k];
            }
        }
        for (std::size_t k = 0; k < width; ++k) from[k] = static_cast<std::int8_t>(step_of[k]);
        for (std::size_t k = 0; k < width; ++k) previous_[k + reach] = best_[k] + here[k];
    }
    const auto top = std::max_element(begin, end);
    Path path;
    path.sum = *top;
    path.bin.resize(frames_);
    int bin = static_cast<int>(top - begin) + static_cast<int>(first);
    for (std::size_t m = frames_; m-- > 0;) {
        path.bin[m] = bin;
        if (m > 0) bin += from_[m * bins_ + static_cast<std::size_t>(bin)];
    }
    return path;
}

}  // namespace tattletone::tones
