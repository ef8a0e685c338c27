#include "tones/noise_floor.h"

#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>

namespace tattletone {
namespace {

constexpr std::size_t neighbours = 7;
// A block counts alone where its median is above the neighbours' mean by more than chance would
// have it.
constexpr double crowded_share = 0.74;
// On a slope or at a cliff the louder neighbour counts, so that its foot is not taken for lines.
constexpr double slope_share = 0.5;

std::vector<double> block_medians(std::span<const float> power, std::size_t block) {
    const std::size_t blocks = std::max<std::size_t>(power.size() / block, 1);
    std::vector<double> medians(blocks);
    std::vector<float> scratch;
    for (std::size_t b = 0; b < blocks; ++b) {
        const std::size_t first = b * block;
        const std::size_t last = b + 1 == blocks ? power.size() : first + block;
        scratch.assign(power.begin() + static_cast<std::ptrdiff_t>(first),
                       power.begin() + static_cast<std::ptrdiff_t>(last));
        const std::size_t middle = scratch.size() / 2;
        std::nth_element(scratch.begin(), scratch.begin() + static_cast<std::ptrdiff_t>(middle),
                         scratch.end());
        medians[b] = scratch[middle] / exponential_order_mean(middle + 1, scratch.size());
    }
    return medians;
}

// The mean of seven blocks without the lowest and the highest.
double trimmed_mean(const std::vector<double>& values, std::size_t centre) {
    std::array<double, neighbours> around{};
    for (std::size_t i = 0; i < neighbours; ++i) {
        const auto at =
            static_cast<std::ptrdiff_t>(centre + i) - static_cast<std::ptrdiff_t>(neighbours / 2);
        around[i] = values[static_cast<std::size_t>(
            std::clamp<std::ptrdiff_t>(at, 0, static_cast<std::ptrdiff_t>(values.size()) - 1))];
    }
    std::sort(around.begin(), around.end());
    double sum = 0.0;
    for (std::size_t i = 1; i + 1 < neighbours; ++i) sum += around[i];
    return sum / static_cast<double>(neighbours - 2);
}

}  // namespace

double exponential_order_mean(std::size_t k, std::size_t n) {
    assert(k >= 1 && k <= n);
    double sum = 0.0;
    for (std::size_t i = n - k + 1; i <= n; ++i) sum += 1.0 / static_cast<double>(i);
    return sum;
}

double floor_relative_sd(std::size_t block) {
    // A median of n exponentials has a relative deviation of 1 / (ln 2 · sqrt n); five of the seven
    // count.
    return 1.0 / (std::log(2.0) * std::sqrt(5.6 * static_cast<double>(block)));
}

NoiseFloor::NoiseFloor(std::span<const float> power, std::size_t block, double least)
    : block_(block) {
    assert(!power.empty() && block >= 4);
    const std::vector<double> medians = block_medians(power, block);
    level_.resize(medians.size());
    for (std::size_t b = 0; b < medians.size(); ++b) {
        double loudest = medians[b];
        if (b > 0) loudest = std::max(loudest, medians[b - 1]);
        if (b + 1 < medians.size()) loudest = std::max(loudest, medians[b + 1]);
        level_[b] = std::max(
            {trimmed_mean(medians, b), crowded_share * medians[b], slope_share * loudest, least});
    }
}

double NoiseFloor::at(double bin) const {
    const double at = bin / static_cast<double>(block_) - 0.5;
    if (at <= 0.0) return level_.front();
    const auto whole = static_cast<std::size_t>(at);
    if (whole + 1 >= level_.size()) return level_.back();
    const double part = at - static_cast<double>(whole);
    return level_[whole] + part * (level_[whole + 1] - level_[whole]);
}

void NoiseFloor::expand(std::span<float> values) const {
    const std::size_t half = block_ / 2;
    std::size_t k = 0;
    for (; k < std::min(half, values.size()); ++k) values[k] = static_cast<float>(level_.front());
    for (std::size_t b = 0; b + 1 < level_.size() && k < values.size(); ++b) {
        const auto step = static_cast<float>((level_[b + 1] - level_[b]) / static_cast<double>(block_));
        auto value = static_cast<float>(level_[b]);
        for (std::size_t i = 0; i < block_ && k < values.size(); ++i, ++k, value += step)
            values[k] = value;
    }
    for (; k < values.size(); ++k) values[k] = static_cast<float>(level_.back());
}

}  // namespace tattletone
