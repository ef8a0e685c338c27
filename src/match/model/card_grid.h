#pragma once

#include <array>
#include <cstddef>

namespace tattletone::match {

/// The sound card's clock error as a grid of relative values, with normal prior weights that sum to 1.
/// The step is half a ppm: every density on it is smeared by `model_error_ppm` at least.
struct CardGrid {
    static constexpr std::size_t nodes = 1601;
    static constexpr double reach_sds = 5.0;
    explicit CardGrid(double sd_ppm);
    double at(std::size_t node) const { return low + step * static_cast<double>(node); }
    double low = 0.0, step = 0.0;  ///< relative
    std::array<double, nodes> weight{};
};

}  // namespace tattletone::match
