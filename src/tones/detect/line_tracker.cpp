#include "tones/detect/line_tracker.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "base/wide_loops.h"
#include "tones/detect/path_finder.h"
#include "tones/detect/steady.h"

namespace tattletone::tones {
namespace {

constexpr std::size_t tracked_floor_block = 32;
// Whitened power is summed over three bins, ½ 1 ½, the shape of a Hann line; noise alone has
// mean 2.
constexpr float noise_mean = 2.0f;
constexpr float cap = 14.0f;
constexpr float move_price = 0.35f;
constexpr int clear_bins = 4;
constexpr std::size_t fewest_tracked_frames = 6;
constexpr int side_from = 5, side_to = 9;
constexpr int smooth_reach = 2;
// What is not known of the path between the frames and at its ends, as a share of how far it bends.
constexpr double curve_share = 4.5e-4;
constexpr int end_frames = 3;
constexpr std::size_t quarters = 4;
constexpr double fewest_seen = 3.0;
// A frame whose noise is so far over the usual hides a line, and says nothing of its absence.
constexpr double hiding_ratio = 2.5;

// Rises a little beyond the cap, so that a strong line's path keeps to its top.
float capped(float power) {
    return power < cap ? power : cap + 0.3f * std::log(power / cap);
}

// The scores of bins 1 … size - 2 of a whitened row.
TATTLETONE_WIDE_LOOPS
void score_row(const float* white, std::size_t size, float* score) {
    constexpr std::size_t piece = 64;
    for (std::size_t first = 1; first + 1 < size; first += piece) {
        const std::size_t last = std::min(first + piece, size - 1);
        int over = 0;
        for (std::size_t k = first; k < last; ++k) {
            score[k] = 0.5f * (white[k - 1] + white[k + 1]) + white[k];
            over += score[k] < cap ? 0 : 1;
        }
        if (over > 0)
            for (std::size_t k = first; k < last; ++k) score[k] = capped(score[k]);
    }
}

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

// Weighted straight line through up to `half` neighbours on each side, at `middle`.
double smooth_at(const std::vector<double>& values, const std::vector<double>& weights, int middle, int half) {
    const int size = static_cast<int>(values.size());
    double w = 0.0, wx = 0.0, wxx = 0.0, wy = 0.0, wxy = 0.0;
    for (int i = std::max(middle - half, 0); i <= std::min(middle + half, size - 1); ++i) {
        const double weight = weights[static_cast<std::size_t>(i)], x = i - middle;
        const double y = values[static_cast<std::size_t>(i)];
        w += weight, wx += weight * x, wxx += weight * x * x;
        wy += weight * y, wxy += weight * x * y;
    }
    const double determinant = w * wxx - wx * wx;
    return determinant > 1e-9 * w * w ? (wxx * wy - wx * wxy) / determinant : wy / w;
}

std::vector<double> smooth(const std::vector<double>& values, const std::vector<double>& weights, int half) {
    std::vector<double> result(values.size());
    for (std::size_t m = 0; m < values.size(); ++m) result[m] = smooth_at(values, weights, static_cast<int>(m), half);
    return result;
}

class Wanderers {
  public:
    Wanderers(const spectrum::Frames& frames, Band band, const TrackingOptions& options)
        : seconds_(options.seconds),
          frames_(frames),
          options_(options),
          finder_(frames.count, frames.bins, options.most_bins_a_hop, move_price) {
        first_ = std::max<std::size_t>(static_cast<std::size_t>(band.low_hz / frames.bin_hz), 4);
        last_ = std::min(static_cast<std::size_t>(band.high_hz / frames.bin_hz), frames.bins - 10);
    }

    bool wide_enough() const { return last_ > first_ + 2 * tracked_floor_block; }
    double bins() const { return static_cast<double>(last_ - first_ + 1); }

    /// Where a path may go; `floors` are kept by the caller.
    void whiten(std::span<const NoiseFloor> floors) {
        floors_ = floors;
        const std::size_t first = first_ - 1, size = last_ + 2 - first;
        std::vector<float> white(size);
        for (std::size_t m = 0; m < frames_.count; ++m) {
            floors[m].whiten(frames_.row(m).subspan(first, size), first, white);
            score_row(white.data(), size, finder_.row(m).data() + first);
        }
    }

    // A line already known is taken out where it holds most of what is there.
    void clear_known(const KnownLine& line, std::span<const double> density) {
        const int bin = static_cast<int>(std::lround(line.hz / frames_.bin_hz));
        if (bin < 3 || bin + 3 >= static_cast<int>(frames_.bins)) return;
        double there = 0.0;
        for (int k = bin - 2; k <= bin + 2; ++k) there += density[static_cast<std::size_t>(k)];
        if (line.mean_square < 0.4 * there * frames_.bin_hz) return;
        for (std::size_t m = 0; m < frames_.count; ++m) clear(m, bin);
    }

    PathFinder::Path best() { return finder_.best(first_, last_); }

    /// What the frames say of a line on this path, over the time in which it is there; takes the
    /// path out of the scores.
    TrackedLine measure(const PathFinder::Path& path, double threshold) {
        const std::size_t count = frames_.count, bins = frames_.bins;
        TrackedLine line;
        line.score = path.sum / static_cast<double>(count);
        line.threshold = threshold;
        std::vector<double> strength(count), noise(count);
        for (std::size_t m = 0; m < count; ++m) {
            const auto bin = static_cast<std::size_t>(path.bin[m]);
            strength[m] = finder_.row(m)[bin] - noise_mean;
            noise[m] = floors_[m].expanded(bin);
        }
        const std::vector<bool> hidden = hidden_frames(noise);
        const auto [begin, end] = longest_presence(strength, hidden);
        std::vector<double> raw_hz, weights;
        const double share = 1.0 / static_cast<double>(end - begin);
        for (std::size_t m = begin; m < end; ++m) {
            const float* const row = frames_.row(m).data();
            const NoiseFloor& floor = floors_[m];
            const auto bin = static_cast<std::size_t>(path.bin[m]);
            raw_hz.push_back(interpolate(row, bins, path.bin[m]) * frames_.bin_hz);
            weights.push_back(std::max(strength[m], 0.2));
            const float noise_here = floor.expanded(bin);
            double power = -5.0 * noise_here;
            for (std::size_t k = bin - 2; k <= bin + 2; ++k) power += row[k];
            line.seconds.push_back(frames_.centre_seconds(m));
            line.mean_square.push_back(std::max(power * frames_.bin_hz, 0.0));
            line.level_mean_square += power * frames_.bin_hz * share;
            line.noise_density += noise_here * share;
            line.peak_level += row[bin] / noise_here * share;
            line.side_level += beside(row, floor, bin) * share;
        }
        for (std::size_t m = 0; m < count; ++m) clear(m, path.bin[m]);
        line.level_mean_square = std::max(line.level_mean_square, quietest_density);
        set_path(line, raw_hz, weights);
        set_presence(line, strength, hidden, begin, end);
        return line;
    }

  private:
    void clear(std::size_t frame, int bin) {
        const auto row = finder_.row(frame);
        const int low = std::max(bin - clear_bins, 0);
        const int high = std::min(bin + clear_bins, static_cast<int>(frames_.bins) - 1);
        for (int k = low; k <= high; ++k) row[static_cast<std::size_t>(k)] = noise_mean;
    }

    double beside(const float* row, const NoiseFloor& floor, std::size_t bin) const {
        double sum = 0.0;
        int counted = 0;
        for (int offset = side_from; offset <= side_to; ++offset)
            for (const int k : {static_cast<int>(bin) - offset, static_cast<int>(bin) + offset}) {
                if (k < 1 || k >= static_cast<int>(frames_.bins)) continue;
                sum += std::min(row[k] / floor.expanded(static_cast<std::size_t>(k)), 6.0f);
                ++counted;
            }
        return counted > 0 ? sum / counted : 1.0;
    }

    // Mean over the time in which the line is there: each frame stands for a hop around its centre,
    // and what is left at both ends is continued in a straight line.
    void set_mean(TrackedLine& line) const {
        const std::size_t count = line.hz.size();
        const double hop = frames_.hop_seconds;
        double sum = line.mean_hz * static_cast<double>(count) * hop;
        double seconds = static_cast<double>(count) * hop;
        const auto add_end = [&](double gap, double at_end, double inward) {
            if (gap <= -hop || gap > frames_.frame_seconds) return;
            // The gap's middle lies half a hop and half a gap beyond the last centre.
            sum += gap * (at_end + (at_end - inward) / end_frames * (0.5 * hop + 0.5 * gap) / hop);
            seconds += gap;
        };
        if (count > static_cast<std::size_t>(end_frames)) {
            const auto reach = static_cast<std::size_t>(end_frames);
            if (line.seconds.front() < frames_.frame_seconds)
                add_end(line.seconds.front() - 0.5 * hop, line.hz.front(), line.hz[reach]);
            if (line.seconds.back() > seconds_ - frames_.frame_seconds)
                add_end(seconds_ - line.seconds.back() - 0.5 * hop, line.hz.back(), line.hz[count - 1 - reach]);
        }
        line.mean_hz = sum / seconds;
    }

    void set_path(TrackedLine& line, const std::vector<double>& raw_hz, const std::vector<double>& weights) const {
        const double count = static_cast<double>(raw_hz.size());
        line.hz = smooth(raw_hz, weights, smooth_reach);
        double rough = 0.0, weight = 0.0, squares = 0.0;
        for (std::size_t m = 0; m < raw_hz.size(); ++m) {
            line.mean_hz += line.hz[m] / count;
            rough += weights[m] * (raw_hz[m] - line.hz[m]) * (raw_hz[m] - line.hz[m]);
            weight += weights[m];
        }
        for (const double hz : line.hz) squares += (hz - line.mean_hz) * (hz - line.mean_hz);
        set_mean(line);
        // Five points less a straight line leave 0.8 of the scatter on average, and 0.2 of it in
        // the smoothed path; frames overlap by half, which makes that 0.3.
        const double scatter = std::sqrt(rough / weight / 0.8);
        line.wander_hz = std::sqrt(std::max(squares / count - 0.3 * scatter * scatter, 0.0));
        line.roughness_bins = scatter / frames_.bin_hz;
        // Errors of neighbouring frames cancel in the mean in part: it hangs on the phases at the
        // ends.
        const double straight_hz = line.hz.back() - line.hz.front();
        const double curved_hz =
            std::sqrt(std::max(line.wander_hz * line.wander_hz - straight_hz * straight_hz / 12.0, 0.0));
        line.hz_sd =
            std::hypot(std::max(scatter, 0.02 * frames_.bin_hz) * std::sqrt(0.33 / count), curve_share * curved_hz);
        // The ends from the first and the last fifth: one end point alone is as uncertain as a
        // frame.
        const int reach = std::max(static_cast<int>(raw_hz.size()) / 5, smooth_reach);
        line.start_hz = smooth_at(raw_hz, weights, 0, reach);
        line.end_hz = smooth_at(raw_hz, weights, static_cast<int>(raw_hz.size()) - 1, reach);
    }

    // Frames whose noise is far over the usual: an event hides the line while it lasts.
    static std::vector<bool> hidden_frames(const std::vector<double>& noise) {
        std::vector<double> sorted = noise;
        const auto quiet = sorted.begin() + static_cast<std::ptrdiff_t>(sorted.size() / 4);
        std::nth_element(sorted.begin(), quiet, sorted.end());
        std::vector<bool> hidden(noise.size());
        for (std::size_t m = 0; m < noise.size(); ++m) hidden[m] = noise[m] > hiding_ratio * *quiet;
        return hidden;
    }

    // The segment of frames in which the line is there: the run with the largest sum of what its
    // strength is over two fifths of its usual strength. Nearly everything counts as everything.
    static std::pair<std::size_t, std::size_t> longest_presence(const std::vector<double>& strength,
                                                                const std::vector<bool>& hidden) {
        std::vector<double> sorted = strength;
        const auto high = sorted.begin() + static_cast<std::ptrdiff_t>(4 * sorted.size() / 5);
        std::nth_element(sorted.begin(), high, sorted.end());
        const double enough = 0.4 * *high;
        double sum = 0.0, best = -1.0;
        std::size_t begin = 0, best_begin = 0, best_end = strength.size();
        for (std::size_t m = 0; m < strength.size(); ++m) {
            if (sum <= 0.0) sum = 0.0, begin = m;
            if (!hidden[m]) sum += strength[m] - enough;
            if (sum > best) best = sum, best_begin = begin, best_end = m + 1;
        }
        if (static_cast<double>(best_end - best_begin) > 0.85 * static_cast<double>(strength.size()))
            return {0, strength.size()};
        return {best_begin, best_end};
    }

    static void set_presence(TrackedLine& line, const std::vector<double>& strength, const std::vector<bool>& hidden,
                             std::size_t begin, std::size_t end) {
        double all = 0.0, squares = 0.0, seen = 0.0;
        std::array<double, quarters> quarter{}, quarter_seen{};
        for (std::size_t m = begin; m < end; ++m) {
            if (hidden[m]) continue;
            const std::size_t q = (m - begin) * quarters / (end - begin);
            quarter[q] += strength[m];
            quarter_seen[q] += 1.0;
            all += strength[m];
            squares += strength[m] * strength[m];
            seen += 1.0;
        }
        line.least_quarter = 1.0;
        for (std::size_t q = 0; q < quarters; ++q)
            if (quarter_seen[q] >= fewest_seen)
                line.least_quarter = std::min(line.least_quarter, quarter[q] / quarter_seen[q] / (all / seen));
        line.steadiness = std::clamp(1.15 * all * all / (squares * seen), 0.0, 1.0);
        line.present = static_cast<double>(end - begin) / static_cast<double>(strength.size());
    }

    double seconds_;
    const spectrum::Frames& frames_;
    TrackingOptions options_;
    PathFinder finder_;
    std::span<const NoiseFloor> floors_;
    std::size_t first_ = 0, last_ = 0;
};

}  // namespace

bool is_line(const TrackedLine& line, double bin_hz, const RejectionLimits& limits) {
    const bool long_frames = bin_hz < 4.0;
    const double roughest = long_frames ? limits.path_roughness_long : limits.path_roughness_short;
    const double most_beside = long_frames ? limits.path_beside_long : limits.path_beside_short;
    const double level = line.level_mean_square / (line.noise_density * bin_hz);
    return level > limits.path_level && line.roughness_bins < roughest && line.least_quarter > limits.path_quarter &&
           line.steadiness > limits.path_steadiness &&
           line.seconds.back() - line.seconds.front() > limits.path_seconds &&
           (line.side_level < most_beside || line.peak_level > limits.path_clear_peak * line.side_level);
}

std::vector<NoiseFloor> frame_floors(const spectrum::Frames& frames) {
    std::vector<NoiseFloor> floors;
    floors.reserve(frames.count);
    for (std::size_t m = 0; m < frames.count; ++m)
        floors.emplace_back(frames.row(m), tracked_floor_block, quietest_density);
    return floors;
}

TrackedLines track_lines(const spectrum::Frames& frames, std::span<const NoiseFloor> floors,
                         std::span<const double> density, Band band, std::span<const KnownLine> known,
                         const TrackingOptions& options) {
    TrackedLines scan;
    Wanderers wanderers(frames, band, options);
    if (frames.count < fewest_tracked_frames || !wanderers.wide_enough()) return scan;
    scan.threshold = path_threshold(static_cast<double>(frames.count), wanderers.bins(), options.most_bins_a_hop,
                                    options.false_alarm_rate);
    wanderers.whiten(floors);
    for (const KnownLine& line : known) wanderers.clear_known(line, density);
    for (int found = 0; found < options.most_lines; ++found) {
        const PathFinder::Path path = wanderers.best();
        const double score = path.sum / static_cast<double>(frames.count);
        if (found == 0) scan.best_score = score;
        if (score < scan.threshold) break;
        scan.lines.push_back(wanderers.measure(path, scan.threshold));
    }
    if (static_cast<int>(scan.lines.size()) == options.most_lines)
        scan.crowded = wanderers.best().sum / static_cast<double>(frames.count) >= scan.threshold;
    return scan;
}

double path_threshold(double frames, double bins, int most_bins_a_hop, double false_alarm_rate) {
    // Location and scale of the Gumbel law that best paths through white noise follow.
    struct Law {
        double far, root, inverse, bins;
    };
    constexpr Law slow{3.555, 3.50, 7.98, 13574.0};  // moves up to two bins a hop
    constexpr Law fast{3.911, 1.25, 10.8, 2995.0};   // three
    const Law& law = most_bins_a_hop <= 2 ? slow : fast;
    const double location = law.far + law.root / std::sqrt(frames) + law.inverse / frames;
    const double scale = 1.1 * std::pow(frames, 0.37) / frames;
    return location + scale * (std::log(bins / law.bins) - std::log(-std::log1p(-std::min(false_alarm_rate, 0.99))));
}

}  // namespace tattletone::tones
