#include "tones/wander.h"

#include <algorithm>
#include <cmath>
#include <cstdint>

#include "spectrum/periodogram.h"
#include "spectrum/transform.h"
#include "tones/noise_floor.h"

namespace tattletone {
namespace {

constexpr std::size_t floor_block = 32;
// Whitened power is summed over three bins, ½ 1 ½, the shape of a Hann line; noise alone has
// mean 2.
constexpr float noise_mean = 2.0f;
constexpr float cap = 14.0f;
constexpr float move_penalty = 0.35f;
constexpr int clear_bins = 4;
constexpr std::size_t fewest_frames = 6;
constexpr int side_from = 5, side_to = 9;

class PathFinder {
  public:
    PathFinder(std::size_t frames, std::size_t bins, int reach)
        : frames_(frames),
          bins_(bins),
          reach_(reach),
          score_(frames * bins),
          from_(frames * bins),
          best_(bins),
          previous_(bins + 2 * static_cast<std::size_t>(reach)) {}

    float* row(std::size_t frame) { return score_.data() + frame * bins_; }
    std::size_t bins() const { return bins_; }
    std::size_t frames() const { return frames_; }

    /// The path of largest sum within [first, last]; bins by frame.
    std::vector<int> best_path(std::size_t first, std::size_t last, double& sum) {
        const std::size_t width = last - first + 1;
        const auto reach = static_cast<std::size_t>(reach_);
        std::fill(previous_.begin(), previous_.end(), -1e9f);
        std::copy_n(row(0) + first, width, previous_.begin() + reach_);
        for (std::size_t m = 1; m < frames_; ++m) {
            const float* const here = row(m) + first;
            std::int8_t* const from = from_.data() + m * bins_ + first;
            for (std::size_t k = 0; k < width; ++k) {
                best_[k] = previous_[k + reach];
                from[k] = 0;
            }
            for (int step = 1; step <= reach_; ++step) {
                const float cost = move_penalty * static_cast<float>(step);
                const float* const down = previous_.data() + reach_ - step;
                const float* const up = previous_.data() + reach_ + step;
                for (std::size_t k = 0; k < width; ++k) {
                    const float a = down[k] - cost, b = up[k] - cost;
                    if (a > best_[k]) {
                        best_[k] = a;
                        from[k] = static_cast<std::int8_t>(-step);
                    }
                    if (b > best_[k]) {
                        best_[k] = b;
                        from[k] = static_cast<std::int8_t>(step);
                    }
                }
            }
            for (std::size_t k = 0; k < width; ++k) previous_[k + reach] = best_[k] + here[k];
        }
        const auto end =
            std::max_element(previous_.begin() + reach_,
                             previous_.begin() + reach_ + static_cast<std::ptrdiff_t>(width));
        sum = *end;
        std::vector<int> path(frames_);
        int bin = static_cast<int>(end - previous_.begin()) - reach_ + static_cast<int>(first);
        for (std::size_t m = frames_; m-- > 0;) {
            path[m] = bin;
            if (m > 0) bin += from_[m * bins_ + static_cast<std::size_t>(bin)];
        }
        return path;
    }

    void clear(std::size_t frame, int bin) {
        const int low = std::max(bin - clear_bins, 0);
        const int high = std::min(bin + clear_bins, static_cast<int>(bins_) - 1);
        for (int k = low; k <= high; ++k) row(frame)[k] = noise_mean;
    }

  private:
    std::size_t frames_, bins_;
    int reach_;
    std::vector<float> score_;
    std::vector<std::int8_t> from_;
    std::vector<float> best_, previous_;
};

// Peak between bins by a parabola through the logarithms, good to 0.016 bin for a Hann window.
double interpolate(const float* row, std::size_t bins, int bin) {
    int peak = bin;
    for (int k = std::max(bin - 1, 1); k <= std::min(bin + 1, static_cast<int>(bins) - 2); ++k)
        if (row[k] > row[peak]) peak = k;
    if (peak < 1 || peak + 1 >= static_cast<int>(bins)) return peak;
    const double a = std::log(std::max(row[peak - 1], 1e-30f));
    const double b = std::log(std::max(row[peak], 1e-30f));
    const double c = std::log(std::max(row[peak + 1], 1e-30f));
    const double bend = a - 2.0 * b + c;
    return bend < 0.0 ? peak + std::clamp(0.5 * (a - c) / bend, -0.5, 0.5) : peak;
}

// Weighted straight line through up to `half` neighbours on each side, at the middle.
std::vector<double> smooth(const std::vector<double>& values, const std::vector<double>& weights,
                           int half) {
    std::vector<double> result(values.size());
    const int size = static_cast<int>(values.size());
    for (int m = 0; m < size; ++m) {
        double w = 0.0, wx = 0.0, wxx = 0.0, wy = 0.0, wxy = 0.0;
        for (int i = std::max(m - half, 0); i <= std::min(m + half, size - 1); ++i) {
            const double weight = weights[static_cast<std::size_t>(i)], x = i - m;
            const double y = values[static_cast<std::size_t>(i)];
            w += weight, wx += weight * x, wxx += weight * x * x;
            wy += weight * y, wxy += weight * x * y;
        }
        const double determinant = w * wxx - wx * wx;
        result[static_cast<std::size_t>(m)] =
            determinant > 1e-9 * w * w ? (wxx * wy - wx * wxy) / determinant : wy / w;
    }
    return result;
}

}  // namespace

bool is_line(const WanderLine& line, double frame_seconds) {
    const bool long_frames = frame_seconds > 0.4;
    const double roughest = long_frames ? 1.0 : 0.75;
    const double most_beside = long_frames ? 1.4 : 1.8;
    return line.roughness_bins < roughest && line.least_quarter > 0.6 && line.present > 0.4 &&
           (line.side_level < most_beside || line.peak_level > 20.0 * line.side_level);
}

WanderScan scan_wander(std::span<const float> samples, double sample_rate_hz, Band band,
                       std::span<const KnownLine> known, const WanderOptions& options) {
    WanderScan scan;
    const std::size_t size =
        fast_size_at_most(static_cast<std::size_t>(sample_rate_hz * options.frame_seconds));
    FrameSpectra spectra(size, sample_rate_hz);
    const double bin_hz = spectra.bin_hz();
    const std::size_t hop = size / 2;
    const std::size_t bins = spectra.bins();
    const std::vector<float> rows = spectra.compute(samples, hop, bins);
    const std::size_t frames = rows.size() / bins;
    scan.bin_hz = bin_hz;
    scan.frame_seconds = static_cast<double>(size) / sample_rate_hz;
    if (frames == 0) return scan;

    const auto first = std::max<std::size_t>(static_cast<std::size_t>(band.low_hz / bin_hz), 4);
    const std::size_t last = std::min(static_cast<std::size_t>(band.high_hz / bin_hz), bins - 5);
    scan.density.assign(bins, 0.0);
    scan.frame_level.assign(frames, 0.0);
    const bool search = frames >= fewest_frames && last > first + 2 * floor_block;
    PathFinder finder(search ? frames : 0, bins, options.most_bins_a_hop);
    std::vector<float> floors(search ? rows.size() : 0);
    std::vector<float> white(bins);
    for (std::size_t m = 0; m < frames; ++m) {
        const float* const row = rows.data() + m * bins;
        double level = 0.0;
        for (std::size_t k = 0; k < bins; ++k) scan.density[k] += row[k];
        for (std::size_t k = first; k <= last; ++k) level += row[k];
        scan.frame_level[m] = level * bin_hz;
        if (!search) continue;
        const NoiseFloor floor({row, bins}, floor_block, quietest_density);
        float* const frame_floor = floors.data() + m * bins;
        const std::vector<float> expanded = floor.expand(bins);
        std::copy(expanded.begin(), expanded.end(), frame_floor);
        for (std::size_t k = 0; k < bins; ++k) white[k] = row[k] / frame_floor[k];
        float* const score = finder.row(m);
        score[0] = score[bins - 1] = noise_mean;
        for (std::size_t k = 1; k + 1 < bins; ++k)
            score[k] = std::min(0.5f * (white[k - 1] + white[k + 1]) + white[k], cap);
    }
    for (double& value : scan.density) value /= static_cast<double>(frames);
    scan.threshold =
        path_threshold(static_cast<double>(frames), static_cast<double>(last - first + 1),
                       options.most_bins_a_hop, options.false_alarm_rate);
    if (!search) return scan;

    for (const KnownLine& line : known) {
        const int bin = static_cast<int>(std::lround(line.hz / bin_hz));
        if (bin < 3 || bin + 3 >= static_cast<int>(bins)) continue;
        double there = 0.0;
        for (int k = bin - 2; k <= bin + 2; ++k) there += scan.density[static_cast<std::size_t>(k)];
        if (line.mean_square < 0.4 * there * bin_hz) continue;
        for (std::size_t m = 0; m < frames; ++m) finder.clear(m, bin);
    }

    for (int found = 0; found < options.most_lines; ++found) {
        double sum = 0.0;
        const std::vector<int> path = finder.best_path(first, last, sum);
        const double score = sum / static_cast<double>(frames);
        if (found == 0) scan.best_score = score;
        if (score < scan.threshold) break;
        WanderLine line;
        line.score = score;
        line.threshold = scan.threshold;
        std::vector<double> raw_hz(frames), weights(frames), strength(frames);
        for (std::size_t m = 0; m < frames; ++m) {
            const float* const row = rows.data() + m * bins;
            const auto bin = static_cast<std::size_t>(path[m]);
            raw_hz[m] = interpolate(row, bins, path[m]) * bin_hz;
            strength[m] = finder.row(m)[bin];
            weights[m] = std::max(strength[m] - noise_mean, 0.2);
            double power = 0.0;
            for (std::size_t k = bin - 2; k <= bin + 2; ++k) power += row[k];
            power -= 5.0 * floors[m * bins + bin];
            line.noise_density += floors[m * bins + bin] / static_cast<double>(frames);
            line.seconds.push_back(
                (static_cast<double>(m * hop) + 0.5 * static_cast<double>(size)) / sample_rate_hz);
            line.mean_square.push_back(std::max(power * bin_hz, 0.0));
            line.level_mean_square += power * bin_hz / static_cast<double>(frames);
        }
        for (std::size_t m = 0; m < frames; ++m) finder.clear(m, path[m]);
        line.level_mean_square = std::max(line.level_mean_square, 1e-14);
        line.hz = smooth(raw_hz, weights, 2);
        double rough = 0.0, weight = 0.0;
        for (std::size_t m = 0; m < frames; ++m) {
            line.mean_hz += line.hz[m] / static_cast<double>(frames);
            rough += weights[m] * (raw_hz[m] - line.hz[m]) * (raw_hz[m] - line.hz[m]);
            weight += weights[m];
        }
        double spread = 0.0;
        for (const double hz : line.hz)
            spread += (hz - line.mean_hz) * (hz - line.mean_hz) / static_cast<double>(frames);
        line.wander_hz = std::sqrt(spread);
        // Five points less a straight line leave 0.8 of the scatter on average; frames overlap by
        // half.
        const double scatter = std::sqrt(rough / weight / 0.8);
        line.roughness_bins = scatter / bin_hz;
        line.hz_sd =
            std::max(scatter, 0.02 * bin_hz) * std::sqrt(1.3 / static_cast<double>(frames));
        double side = 0.0;
        for (std::size_t m = 0; m < frames; ++m) {
            const auto on = m * bins + static_cast<std::size_t>(path[m]);
            line.peak_level += rows[on] / floors[on] / static_cast<double>(frames);
            double sum_beside = 0.0;
            int counted = 0;
            for (int offset = side_from; offset <= side_to; ++offset)
                for (const int k : {path[m] - offset, path[m] + offset}) {
                    if (k < 1 || k >= static_cast<int>(bins)) continue;
                    const auto at = m * bins + static_cast<std::size_t>(k);
                    sum_beside += std::min(rows[at] / floors[at], 6.0f);
                    ++counted;
                }
            side += sum_beside / std::max(counted, 1) / static_cast<double>(frames);
        }
        line.side_level = side;
        line.least_quarter = 1e9;
        for (std::size_t q = 0; q < 4; ++q) {
            const std::size_t from = q * frames / 4, to = (q + 1) * frames / 4;
            double quarter = 0.0;
            for (std::size_t m = from; m < to; ++m)
                quarter += (strength[m] - noise_mean) / static_cast<double>(to - from);
            line.least_quarter = std::min(line.least_quarter, quarter / (score - noise_mean));
        }
        std::vector<double> sorted = strength;
        std::sort(sorted.begin(), sorted.end());
        double rest = 0.0, all = 0.0, squares = 0.0;
        const std::size_t kept = frames - frames / 4;
        for (std::size_t m = 0; m < frames; ++m) {
            const double over = sorted[m] - noise_mean;
            if (m < kept) rest += over / static_cast<double>(kept);
            all += over / static_cast<double>(frames);
            squares += over * over / static_cast<double>(frames);
        }
        line.present = std::clamp(1.15 * all * all / squares, 0.0, 1.0);
        if (rest < 0.35 * all) continue;
        scan.lines.push_back(std::move(line));
    }
    return scan;
}

double path_threshold(double frames, double bins, int most_bins_a_hop, double false_alarm_rate) {
    // Location and scale of the Gumbel law that best paths through white noise follow.
    struct Law {
        double far, root, inverse, bins;
    };
    constexpr Law slow{3.606, 3.50, 7.98, 13574.0};  // moves up to two bins a hop
    constexpr Law fast{3.956, 1.25, 10.8, 2995.0};   // three
    const Law& law = most_bins_a_hop <= 2 ? slow : fast;
    const double location = law.far + law.root / std::sqrt(frames) + law.inverse / frames;
    const double scale = 1.1 * std::pow(frames, 0.37) / frames;
    return location + scale * (std::log(bins / law.bins) -
                               std::log(-std::log1p(-std::min(false_alarm_rate, 0.99))));
}

}  // namespace tattletone
