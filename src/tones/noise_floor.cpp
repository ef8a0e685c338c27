#include "tones/noise_floor.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <numeric>

namespace tattletone {
namespace {

constexpr std::size_t neighbours = 7;
// Values over twice the mean count as twice the mean; an exponential keeps 1 - e^-2 of its mean so.
constexpr double bulk_cut = 2.0;
constexpr double bulk_share = 0.8646647168;
constexpr int most_bulk_rounds = 60;
constexpr double settled_share = 0.01;
constexpr double least_fall = 0.1;
// A block counts alone where its median is above the neighbours' mean by more than chance would
// have it.
constexpr double crowded_share = 0.74;
// On a slope or at a cliff the louder neighbour counts, so that its foot is not taken for lines.
constexpr double slope_share = 0.5;

double bulk_mean(const float* values, std::size_t size) {
    // Start at the quietest eighth or so, which no line fills.
    constexpr std::size_t piece = 8, lanes = 8;
    double least = 0.0;
    for (std::size_t first = 0; first + piece <= size; first += piece) {
        float sum = 0.0f;
        for (std::size_t i = 0; i < piece; ++i) sum += values[first + i];
        if (first == 0 || sum < least) least = sum;
    }
    double mean = 1.5 * least / static_cast<double>(piece);
    if (size < piece)
        mean = std::accumulate(values, values + size, 0.0) / static_cast<double>(size);
    const double scale = 1.0 / (static_cast<double>(size) * bulk_share);
    double before = 0.0, rise_before = 0.0;
    for (int round = 0; round < most_bulk_rounds; ++round) {
        const auto limit = static_cast<float>(bulk_cut * mean);
        float sums[lanes] = {};
        std::size_t i = 0;
        for (; i + lanes <= size; i += lanes)
            for (std::size_t lane = 0; lane < lanes; ++lane)
                sums[lane] += std::min(values[i + lane], limit);
        for (; i < size; ++i) sums[0] += std::min(values[i], limit);
        const double rise = std::accumulate(std::begin(sums), std::end(sums), 0.0) * scale - mean;
        // The secant of the last two rounds where it falls; the function is concave.
        double move = rise;
        if (round > 0 && mean != before) {
            const double slope = (rise - rise_before) / (mean - before);
            if (slope < -least_fall) move = -rise / slope;
        }
        before = mean;
        rise_before = rise;
        mean = std::max(mean + move, 0.5 * mean);
        if (std::abs(move) <= settled_share * mean) break;
    }
    return mean;
}

std::vector<double> block_means(std::span<const float> power, std::size_t block) {
    const std::size_t blocks = std::max<std::size_t>(power.size() / block, 1);
    std::vector<double> means(blocks);
    for (std::size_t b = 0; b < blocks; ++b) {
        const std::size_t first = b * block;
        const std::size_t size = b + 1 == blocks ? power.size() - first : block;
        means[b] = bulk_mean(power.data() + first, size);
    }
    return means;
}

// The mean of seven blocks without the lowest and the highest.
double trimmed_mean(const std::vector<double>& values, std::size_t centre) {
    double sum = 0.0, least = values[centre], most = least;
    for (std::size_t i = 0; i < neighbours; ++i) {
        const auto at =
            static_cast<std::ptrdiff_t>(centre + i) - static_cast<std::ptrdiff_t>(neighbours / 2);
        const double value = values[static_cast<std::size_t>(
            std::clamp<std::ptrdiff_t>(at, 0, static_cast<std::ptrdiff_t>(values.size()) - 1))];
        sum += value;
        least = std::min(least, value);
        most = std::max(most, value);
    }
    return (sum - least - most) / static_cast<double>(neighbours - 2);
}

}  // namespace

double floor_relative_sd(std::size_t block) {
    // A block's bulk is as certain as its mean, 1 / sqrt n; of seven blocks, five or six count.
    return 1.02 / std::sqrt(5.6 * static_cast<double>(block));
}

double bulk_mean(std::span<const float> values) {
    return bulk_mean(values.data(), values.size());
}

NoiseFloor::NoiseFloor(std::span<const float> power, std::size_t block, double least)
    : block_(block) {
    assert(!power.empty() && block >= 4);
    const std::vector<double> means = block_means(power, block);
    level_.resize(means.size());
    for (std::size_t b = 0; b < means.size(); ++b) {
        double loudest = means[b];
        if (b > 0) loudest = std::max(loudest, means[b - 1]);
        if (b + 1 < means.size()) loudest = std::max(loudest, means[b + 1]);
        level_[b] = std::max(
            {trimmed_mean(means, b), crowded_share * means[b], slope_share * loudest, least});
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
        const auto step =
            static_cast<float>((level_[b + 1] - level_[b]) / static_cast<double>(block_));
        auto value = static_cast<float>(level_[b]);
        for (std::size_t i = 0; i < block_ && k < values.size(); ++i, ++k, value += step)
            values[k] = value;
    }
    for (; k < values.size(); ++k) values[k] = static_cast<float>(level_.back());
}

}  // namespace tattletone
