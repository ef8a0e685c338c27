#include "tones/detect/noise_floor.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <limits>
#include <numeric>

#include "base/wide_loops.h"

namespace tattletone::tones {
namespace {

constexpr std::size_t neighbours = 7;
// Values over twice the mean count as twice the mean; an exponential keeps 1 - e^-2 of its mean so.
constexpr double bulk_cut = 2.0, bulk_share = 0.8646647168;
constexpr int most_bulk_rounds = 60;
constexpr double settled_share = 0.01, least_fall = 0.1;
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
    if (size < piece) mean = std::accumulate(values, values + size, 0.0) / static_cast<double>(size);
    const double scale = 1.0 / (static_cast<double>(size) * bulk_share);
    double before = 0.0, rise_before = 0.0;
    for (int round = 0; round < most_bulk_rounds; ++round) {
        const auto limit = static_cast<float>(bulk_cut * mean);
        float sums[lanes] = {};
        std::size_t i = 0;
        for (; i + lanes <= size; i += lanes)
            for (std::size_t lane = 0; lane < lanes; ++lane) sums[lane] += std::min(values[i + lane], limit);
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

constexpr std::size_t side_by_side = 8;

// bulk_mean() of eight runs at once, value for value the same: of `size` values, eight or more,
// that begin `stride` apart. `turned` is room for the eight with their first values first.
TATTLETONE_WIDE_LOOPS
void bulk_means_side_by_side(const float* values, std::size_t size, std::size_t stride, float* turned, double* means) {
    constexpr std::size_t piece = 8, lanes = 8, n = side_by_side;
    for (std::size_t i = 0; i < size; ++i)
        for (std::size_t b = 0; b < n; ++b) turned[i * n + b] = values[b * stride + i];
    float least[n];
    std::fill(std::begin(least), std::end(least), std::numeric_limits<float>::max());
    for (std::size_t first = 0; first + piece <= size; first += piece) {
        float sum[n] = {};
        for (std::size_t i = first; i < first + piece; ++i) {
            TATTLETONE_KEEP_LOOP
            for (std::size_t b = 0; b < n; ++b) sum[b] += turned[i * n + b];
        }
        TATTLETONE_KEEP_LOOP
        for (std::size_t b = 0; b < n; ++b) least[b] = sum[b] < least[b] ? sum[b] : least[b];
    }
    double mean[n], before[n] = {}, rise_before[n] = {}, settled[n] = {};
    for (std::size_t b = 0; b < n; ++b) mean[b] = 1.5 * least[b] / static_cast<double>(piece);
    const double scale = 1.0 / (static_cast<double>(size) * bulk_share);
    for (int round = 0; round < most_bulk_rounds; ++round) {
        float limit[n], sums[lanes][n] = {};
        for (std::size_t b = 0; b < n; ++b) limit[b] = static_cast<float>(bulk_cut * mean[b]);
        std::size_t i = 0;
        for (; i + lanes <= size; i += lanes)
            for (std::size_t lane = 0; lane < lanes; ++lane)
                for (std::size_t b = 0; b < n; ++b) {
                    const float value = turned[(i + lane) * n + b];
                    sums[lane][b] += limit[b] < value ? limit[b] : value;
                }
        float first_lane[n];
        std::copy_n(sums[0], n, first_lane);
        for (; i < size; ++i)
            for (std::size_t b = 0; b < n; ++b) {
                const float value = turned[i * n + b];
                first_lane[b] += limit[b] < value ? limit[b] : value;
            }
        double total[n];
        std::copy_n(first_lane, n, total);
        for (std::size_t lane = 1; lane < lanes; ++lane)
            for (std::size_t b = 0; b < n; ++b) total[b] += static_cast<double>(sums[lane][b]);
        // Selections instead of branches: the eight are worked as one vector.
        const double falls = round > 0 ? -least_fall : -std::numeric_limits<double>::infinity();
        TATTLETONE_KEEP_LOOP
        for (std::size_t b = 0; b < n; ++b) {
            const double rise = total[b] * scale - mean[b];
            // No number for what has settled, which stays as it is.
            const double slope = (rise - rise_before[b]) / (mean[b] - before[b]);
            const double move = -rise / (slope < falls ? slope : -1.0);
            const double moved = mean[b] + move, half = 0.5 * mean[b];
            const double next = moved < half ? half : moved;
            before[b] = mean[b];
            rise_before[b] = rise;
            mean[b] = settled[b] != 0.0 ? mean[b] : next;
            settled[b] = std::abs(move) <= settled_share * mean[b] ? 1.0 : settled[b];
        }
        if (std::accumulate(settled, settled + n, 0.0) == static_cast<double>(n)) break;
    }
    std::copy_n(mean, n, means);
}

std::vector<double> block_means(std::span<const float> power, std::size_t block) {
    const std::size_t blocks = std::max<std::size_t>(power.size() / block, 1);
    std::vector<double> means(blocks);
    bulk_means(power.data(), block, block, std::span(means).first(blocks - 1));
    // The last block takes the rest of the values as well.
    means.back() = bulk_mean(power.data() + (blocks - 1) * block, power.size() - (blocks - 1) * block);
    return means;
}

// `means` continued by three of its ends on both sides; a level for each of the `size` between
// them, from the mean of seven blocks without the lowest and the highest.
TATTLETONE_WIDE_LOOPS
void levels_of(const double* means, std::size_t size, double least_level, double* level) {
    constexpr std::size_t centre = neighbours / 2;
    for (std::size_t b = 0; b < size; ++b) {
        const double here = means[b + centre];
        double sum = 0.0, least = here, most = here;
        for (std::size_t i = 0; i < neighbours; ++i) {
            const double value = means[b + i];
            sum += value;
            least = value < least ? value : least;
            most = most < value ? value : most;
        }
        const double below = means[b + centre - 1], above = means[b + centre + 1];
        double loudest = here < below ? below : here;
        loudest = loudest < above ? above : loudest;
        const double crowded = crowded_share * here, slope = slope_share * loudest;
        double chosen = (sum - least - most) / static_cast<double>(neighbours - 2);
        chosen = chosen < crowded ? crowded : chosen;
        chosen = chosen < slope ? slope : chosen;
        level[b] = chosen < least_level ? least_level : chosen;
    }
}

}  // namespace

double floor_relative_sd(std::size_t block) {
    // A block's bulk is as certain as its mean, 1 / sqrt n; of seven blocks, five or six count.
    return 1.02 / std::sqrt(5.6 * static_cast<double>(block));
}

double bulk_mean(std::span<const float> values) {
    return bulk_mean(values.data(), values.size());
}

void bulk_means(const float* values, std::size_t size, std::size_t stride, std::span<double> means) {
    std::size_t m = 0;
    if (size >= 8 && means.size() >= side_by_side) {
        std::vector<float> turned(side_by_side * size);
        for (; m < means.size(); m += side_by_side) {
            m = std::min(m, means.size() - side_by_side);
            bulk_means_side_by_side(values + m * stride, size, stride, turned.data(), &means[m]);
        }
    }
    for (; m < means.size(); ++m) means[m] = bulk_mean(values + m * stride, size);
}

NoiseFloor::NoiseFloor(std::span<const float> power, std::size_t block, double least) : block_(block) {
    assert(!power.empty() && block >= 4);
    constexpr std::size_t beyond = neighbours / 2;
    std::vector<double> means = block_means(power, block);
    level_.resize(means.size());
    means.insert(means.begin(), beyond, means.front());
    means.insert(means.end(), beyond, means.back());
    levels_of(means.data(), level_.size(), least, level_.data());
}

double NoiseFloor::at(double bin) const {
    const double at = bin / static_cast<double>(block_) - 0.5;
    if (at <= 0.0) return level_.front();
    const auto whole = static_cast<std::size_t>(at);
    if (whole + 1 >= level_.size()) return level_.back();
    const double part = at - static_cast<double>(whole);
    return level_[whole] + part * (level_[whole + 1] - level_[whole]);
}

NoiseFloor::Piece NoiseFloor::piece_at(std::size_t bin) const {
    const std::size_t half = block_ / 2;
    if (bin < half) return {half, static_cast<float>(level_.front()), 0.0f, 0};
    const std::size_t b = (bin - half) / block_;
    if (b + 1 >= level_.size())
        return {std::numeric_limits<std::size_t>::max(), static_cast<float>(level_.back()), 0.0f, 0};
    const std::size_t first = half + b * block_;
    return {first + block_, static_cast<float>(level_[b]),
            static_cast<float>((level_[b + 1] - level_[b]) / static_cast<double>(block_)),
            static_cast<int>(bin - first)};
}

float NoiseFloor::expanded(std::size_t bin) const {
    const Piece piece = piece_at(bin);
    return piece.level + piece.step * static_cast<float>(piece.offset);
}

TATTLETONE_WIDE_LOOPS
void NoiseFloor::expand(std::span<float> values) const {
    for (std::size_t k = 0; k < values.size();) {
        const Piece piece = piece_at(k);
        const int count = static_cast<int>(std::min(piece.last, values.size()) - k);
        float* const to = values.data() + k;
        for (int i = 0; i < count; ++i) to[i] = piece.level + piece.step * static_cast<float>(piece.offset + i);
        k += static_cast<std::size_t>(count);
    }
}

TATTLETONE_WIDE_LOOPS
void NoiseFloor::whiten(std::span<const float> power, std::size_t first, std::span<float> white) const {
    assert(power.size() == white.size());
    for (std::size_t k = 0; k < white.size();) {
        const Piece piece = piece_at(first + k);
        const int count = static_cast<int>(std::min(piece.last - first, white.size()) - k);
        const float* const from = power.data() + k;
        float* const to = white.data() + k;
        for (int i = 0; i < count; ++i)
            to[i] = from[i] / (piece.level + piece.step * static_cast<float>(piece.offset + i));
        k += static_cast<std::size_t>(count);
    }
}

}  // namespace tattletone::tones
