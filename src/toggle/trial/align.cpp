#include "toggle/trial/align.h"

#include <algorithm>
#include <cmath>

#include "toggle/trial/pinned.h"
#include "toggle/trial/regression.h"

namespace tattletone::toggle {
namespace {

constexpr double silence_block_seconds = 0.02, silent_share = 1e-5;  // of the median block's power
constexpr double least_lost_seconds = 0.06;
constexpr double clearly_better = 3.0;  // in ln likelihood: a twentieth

// By amplitudes, which follow a switching within a window evenly; logarithms take a bit of a line for all of it.
double score_over(const LineLevels& line, const Column& column, const std::vector<StepWindow>& windows) {
    std::vector<double> levels;
    double middle = 0.0;
    for (const StepWindow& window : windows) {
        levels.push_back(std::sqrt(line.within(window.from, window.to).line));
        middle += levels.back() / static_cast<double>(windows.size());
    }
    for (double& level : levels) level -= middle;
    std::vector<double> values = over(windows, column);
    double mean = 0.0;
    for (const double value : values) mean += value / static_cast<double>(values.size());
    for (double& value : values) value -= mean;
    const double squares = dot(values, values) * dot(levels, levels);
    if (squares <= 0.0) return 0.0;
    const double share = std::min(std::pow(dot(values, levels), 2) / squares, 0.999999);
    return -0.5 * static_cast<double>(windows.size()) * std::log1p(-share);
}

}  // namespace

std::vector<Span> lost_spans(const sound::Recording& recording) {
    std::vector<Span> spans;
    for (const std::size_t gap : recording.gaps) {
        const double seconds = static_cast<double>(gap) / recording.sample_rate_hz;
        spans.push_back({seconds - 1e-6, seconds + 1e-6});
    }
    const auto size = static_cast<std::size_t>(std::max(1.0, silence_block_seconds * recording.sample_rate_hz));
    std::vector<double> powers;
    for (std::size_t from = 0; from + size <= recording.samples.size(); from += size) {
        double sum = 0.0;
        for (std::size_t i = from; i < from + size; ++i)
            sum += static_cast<double>(recording.samples[i]) * static_cast<double>(recording.samples[i]);
        powers.push_back(sum);
    }
    if (powers.empty()) return spans;
    std::vector<double> sorted = powers;
    const auto middle = sorted.begin() + static_cast<std::ptrdiff_t>(sorted.size() / 2);
    std::nth_element(sorted.begin(), middle, sorted.end());
    const double limit = silent_share * *middle;
    const double block = static_cast<double>(size) / recording.sample_rate_hz;
    for (std::size_t i = 0; i < powers.size();) {
        std::size_t end = i;
        while (end < powers.size() && powers[end] <= limit) ++end;
        if (static_cast<double>(end - i) * block >= least_lost_seconds)
            spans.push_back({static_cast<double>(i) * block, static_cast<double>(end) * block});
        i = end + 1;
    }
    return spans;
}

Alignment refined(const Recorded& recorded, const LineLevels& line, const Column& column, const Match& match) {
    const auto search = [&](Alignment best, bool any_pace, double& most) {
        const double half = 0.5 * recorded.seconds;
        const double pace_step = 0.075 / std::max(1.0, 0.5 * static_cast<double>(recorded.steps));
        most = -1.0;
        for (const double share : {1.0, 0.3, 0.1}) {
            const Alignment around = best;
            for (int p = any_pace ? -2 : 0; p <= (any_pace ? 2 : 0); ++p)
                for (int s = -6; s <= 6; ++s) {
                    Alignment tried = around;
                    tried.pace += share * pace_step * p;
                    // The pace turns about the recording's middle, so that the two hardly depend on each other.
                    const double steps = (half - around.start_seconds) / (1.0 + around.pace);
                    tried.start_seconds = half - steps * (1.0 + tried.pace) + share * 0.05 * s * recorded.step_seconds;
                    const double score = score_over(line, column, windows_of(recorded, tried));
                    if (score <= most) continue;
                    most = score;
                    best = tried;
                }
        }
        return best;
    };
    double most = 0.0, as_planned = 0.0;
    const Alignment best = search(match.alignment, true, most);
    // Nearly all clocks are a crystal's: so it is unless the sound says otherwise.
    const double middle = 0.5 * recorded.seconds;
    const Alignment planned =
        search({middle - (middle - best.start_seconds) / (1.0 + best.pace), 0.0}, false, as_planned);
    return as_planned + clearly_better >= most ? planned : best;
}

std::vector<StepWindow> running_windows(const Recorded& recorded, const LineLevels& line, const Column& column,
                                        const Alignment& alignment) {
    const std::vector<StepWindow> all = windows_of(recorded, alignment);
    std::vector<StepWindow> best = all;
    double most = score_over(line, column, all) + clearly_better;
    for (std::size_t first = 0; first < all.size(); ++first) {
        if (first > 0 && all[first].step >= all[first - 1].step) continue;
        for (const bool once : {false, true}) {
            std::size_t end = all.size();
            if (once)
                for (end = first + 1; end < all.size() && all[end].step > all[end - 1].step;) ++end;
            if (end - first < all.size() / 3) continue;
            const std::vector<StepWindow> some(all.begin() + static_cast<std::ptrdiff_t>(first),
                                               all.begin() + static_cast<std::ptrdiff_t>(end));
            const double score = score_over(line, column, some);
            if (score <= most) continue;
            most = score;
            best = some;
        }
    }
    return best;
}

double told_start(const Recorded& recorded, const std::vector<StepWindow>& windows, const Alignment& alignment) {
    const double step = recorded.step_seconds * (1.0 + alignment.pace),
                 pass = step * static_cast<double>(recorded.steps);
    const double from = windows.empty() ? 0.0 : windows.front().from - recorded.settle_seconds;
    // Of all beginnings that which is nearest to the first step that counts.
    return alignment.start_seconds + pass * std::round((from - alignment.start_seconds) / pass);
}

}  // namespace tattletone::toggle
