#include "tones/judge/bursts.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <optional>

namespace tattletone::tones {
namespace {

// Common practice: software wakes a part a few times to a few dozen times a second. Slower ones are heard as such,
// and 50 Hz is the mains'.
constexpr double slowest_hz = 2.5, fastest_hz = 45.0;
// A pace that the segment holds so often can be told from a line that wanders.
constexpr double fewest_periods = 6.0;
// Pairs by which a pace is recognised stand this many paces off at most; the other sidebands are then looked for.
constexpr double pair_reach = 4.5, sideband_reach = 400.0;
constexpr double pair_sds = 4.0, pair_slack_hz = 0.004;
constexpr double alike = 4.0;  // powers of a pair; noise makes them differ
constexpr double over = 1.15;  // power of a sideband over the carrier's, by noise at most
// The m-th sideband's power over the carrier's, (sin πmD / πmD)², is below 41/m² where the line is on for 5 % or more.
constexpr double farthest = 41.0;
constexpr double pace_known_hz = 1e-4;  // at best: lines leak into each other
constexpr double low_multiple = 3.5, long_run = 64.0;

struct Pair {
    double apart_hz = 0.0, sd = 0.0;
};

struct Pace {
    double hz = 0.0, sd = 0.0;
    int pairs = 0;
};

class Finder {
  public:
    Finder(const std::vector<SteadyLine>& lines, double seconds)
        : lines_(lines), least_hz_(std::max(slowest_hz, fewest_periods / seconds)), taken_(lines.size(), 0) {}

    std::vector<BurstGroup> find() {
        std::vector<std::size_t> order(lines_.size());
        std::iota(order.begin(), order.end(), std::size_t{0});
        std::stable_sort(order.begin(), order.end(),
                         [&](std::size_t a, std::size_t b) { return lines_[a].mean_square > lines_[b].mean_square; });
        // Lines with two pairs or more tell the pace; then one pair of that pace is enough.
        std::vector<Pace> known;
        for (const bool first : {true, false})
            for (const std::size_t at : order) {
                if (taken_[at]) continue;
                const std::optional<Pace> pace = first ? own_pace(at) : pace_like(at, known);
                if (!pace || of_low_rate(at, *pace)) continue;
                known.push_back(*pace);
                join(at, *pace);
            }
        return std::move(groups_);
    }

  private:
    std::vector<Pair> pairs_about(std::size_t at) const {
        std::vector<Pair> pairs;
        const SteadyLine& carrier = lines_[at];
        for (std::size_t below = at; below-- > 0;) {
            const SteadyLine& left = lines_[below];
            if (carrier.hz - left.hz > pair_reach * fastest_hz) break;
            if (taken_[below] || left.mean_square > over * carrier.mean_square) continue;
            const double mirrored = 2.0 * carrier.hz - left.hz;
            const double reach =
                pair_sds * std::hypot(left.hz_sd, 1.4 * left.hz_sd, 2.0 * carrier.hz_sd) + pair_slack_hz;
            const auto from = std::lower_bound(lines_.begin(), lines_.end(), mirrored - reach,
                                               [](const SteadyLine& line, double hz) { return line.hz < hz; });
            for (auto right = from; right != lines_.end() && right->hz <= mirrored + reach; ++right) {
                const auto index = static_cast<std::size_t>(right - lines_.begin());
                const double ratio = right->mean_square / left.mean_square;
                if (index == at || taken_[index] || right->mean_square > over * carrier.mean_square || ratio > alike ||
                    ratio < 1.0 / alike)
                    continue;
                pairs.push_back({0.5 * (right->hz - left.hz), 0.5 * std::hypot(right->hz_sd, left.hz_sd)});
                break;
            }
        }
        return pairs;
    }

    /// All pairs that are multiples of it, and what they say of it together.
    static Pace fitted(const std::vector<Pair>& pairs, double hz, double sd) {
        Pace pace{hz, sd, 0};
        double weight = 0.0, sum = 0.0;
        for (const Pair& pair : pairs) {
            const double order = std::round(pair.apart_hz / pace.hz);
            const double reach = pair_sds * std::hypot(pair.sd, order * pace.sd) + pair_slack_hz;
            if (order < 1.0 || reach > 0.2 * pace.hz || std::abs(pair.apart_hz - order * pace.hz) > reach) continue;
            ++pace.pairs;
            weight += order * order / (pair.sd * pair.sd);
            sum += order * pair.apart_hz / (pair.sd * pair.sd);
            pace.hz = sum / weight;
            pace.sd = 1.0 / std::sqrt(weight);
        }
        return pace;
    }

    std::optional<Pace> own_pace(std::size_t at) const {
        std::vector<Pair> pairs = pairs_about(at);
        std::sort(pairs.begin(), pairs.end(), [](const Pair& a, const Pair& b) { return a.apart_hz < b.apart_hz; });
        Pace best;
        for (const Pair& pair : pairs) {
            if (pair.apart_hz < least_hz_ || pair.apart_hz > fastest_hz) continue;
            const Pace pace = fitted(pairs, pair.apart_hz, pair.sd);
            if (pace.pairs >= best.pairs) best = pace;
        }
        return best.pairs >= 2 ? std::optional(best) : std::nullopt;
    }

    std::optional<Pace> pace_like(std::size_t at, const std::vector<Pace>& known) const {
        if (known.empty()) return std::nullopt;
        const std::vector<Pair> pairs = pairs_about(at);
        for (const Pace& like : known) {
            const Pace pace = fitted(pairs, like.hz, like.sd);
            if (pace.pairs >= 1) return pace;
        }
        return std::nullopt;
    }

    bool stands_at(double hz, double sd) const {
        const double reach = 2.0 * pair_sds * sd + pair_slack_hz;
        const auto from = std::lower_bound(lines_.begin(), lines_.end(), hz - reach,
                                           [](const SteadyLine& line, double at) { return line.hz < at; });
        return from != lines_.end() && from->hz <= hz + reach;
    }

    /// Its multiples go on from the first, or much farther than bursts make them.
    bool of_low_rate(std::size_t at, const Pace& pace) const {
        const SteadyLine& carrier = lines_[at];
        const double order = std::round(carrier.hz / pace.hz);
        const double reach = pair_sds * std::hypot(carrier.hz_sd, order * pace.sd) + pair_slack_hz;
        if (std::abs(carrier.hz - order * pace.hz) > reach) return false;
        const auto run = [&](int direction) {
            int last = 0;
            for (int m = 1; m <= last + 3 && m < 2 * static_cast<int>(long_run); ++m)
                if (stands_at(carrier.hz + direction * m * pace.hz, std::hypot(carrier.hz_sd, m * pace.sd))) last = m;
            return last;
        };
        const int below = run(-1), above = run(1);
        return order - below <= low_multiple || below + above > long_run;
    }

    void join(std::size_t at, const Pace& told) {
        Pace pace = told;
        BurstGroup group;
        group.carrier = at;
        const SteadyLine& carrier = lines_[at];
        group.mean_square = carrier.mean_square;
        taken_[at] = 1;
        double weight = 1.0 / (pace.sd * pace.sd), sum = pace.hz * weight;
        // From the nearest outwards, the pace becoming the surer.
        std::vector<std::size_t> near;
        for (std::size_t i = 0; i < lines_.size(); ++i)
            if (std::abs(lines_[i].hz - carrier.hz) < sideband_reach * pace.hz) near.push_back(i);
        std::stable_sort(near.begin(), near.end(), [&](std::size_t a, std::size_t b) {
            return std::abs(lines_[a].hz - carrier.hz) < std::abs(lines_[b].hz - carrier.hz);
        });
        for (const std::size_t i : near) {
            const SteadyLine& line = lines_[i];
            const double apart = line.hz - carrier.hz, order = std::round(apart / pace.hz);
            const double sd = std::hypot(line.hz_sd, carrier.hz_sd);
            const double reach = pair_sds * std::hypot(sd, order * pace.sd) + pair_slack_hz;
            const double most = over * carrier.mean_square * std::min(1.0, farthest / std::max(1.0, order * order));
            if (taken_[i] || order == 0.0 || reach > 0.2 * pace.hz || line.mean_square > most ||
                std::abs(apart - order * pace.hz) > reach)
                continue;
            taken_[i] = 1;
            group.sidebands.push_back(i);
            group.mean_square += line.mean_square;
            weight += order * order / (sd * sd);
            sum += order * apart / (sd * sd);
            pace.hz = sum / weight;
            pace.sd = 1.0 / std::sqrt(weight);
        }
        std::sort(group.sidebands.begin(), group.sidebands.end());
        group.pace_hz = pace.hz;
        group.pace_hz_sd = std::hypot(pace.sd, pace_known_hz);
        groups_.push_back(std::move(group));
    }

    const std::vector<SteadyLine>& lines_;
    double least_hz_;
    std::vector<char> taken_;
    std::vector<BurstGroup> groups_;
};

}  // namespace

std::vector<BurstGroup> find_bursts(const std::vector<SteadyLine>& lines, double seconds) {
    return Finder(lines, seconds).find();
}

}  // namespace tattletone::tones
