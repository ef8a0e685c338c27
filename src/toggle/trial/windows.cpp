#include "toggle/trial/windows.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace tattletone::toggle {
namespace {

constexpr double noise_weight =
    8.0;                        // under the logarithm: in the noise it is as good as the power, which tells most there
constexpr int noise_reach = 3;  // windows on either side whose noise counts too
constexpr double clear_ratio = 10.0;      // from such a power ratio on a line is followed whatever the noise does
constexpr double windows_a_drift = 30.0;  // a half-wave of drift for so many
constexpr int most_drift = 4;
constexpr double loud_ratio = 1.5;  // of a window's noise to the usual, from which on it counts for less
constexpr double least_energy = 1e-20;

double median_of(std::vector<double> values) {
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
}

}  // namespace

std::vector<StepWindow> windows_of(const Recorded& recorded, const Alignment& alignment) {
    const double step = recorded.step_seconds * (1.0 + alignment.pace);
    const auto steps = static_cast<long long>(recorded.steps);
    std::vector<StepWindow> windows;
    for (auto j = static_cast<long long>(std::ceil(-alignment.start_seconds / step - 1e-9));; ++j) {
        StepWindow window;
        window.from = alignment.start_seconds + static_cast<double>(j) * step + recorded.settle_seconds;
        window.to = alignment.start_seconds + static_cast<double>(j + 1) * step;
        if (window.to > recorded.seconds + 1e-9) break;
        const bool lost = std::any_of(recorded.lost.begin(), recorded.lost.end(),
                                      [&](const Span& span) { return span.from < window.to && span.to > window.from; });
        window.step = static_cast<std::size_t>(((j % steps) + steps) % steps);
        if (!lost) windows.push_back(window);
    }
    return windows;
}

std::vector<double> raw_levels(const LineLevels& line, const std::vector<StepWindow>& windows) {
    std::vector<LineLevels::Measured> measured;
    for (const StepWindow& window : windows) measured.push_back(line.within(window.from, window.to));
    std::vector<double> levels(windows.size());
    if (measured.empty()) return levels;
    if (line.is_band()) {
        for (std::size_t i = 0; i < levels.size(); ++i) levels[i] = std::log(measured[i].line + least_energy);
        return levels;
    }
    std::vector<double> noise(windows.size()), ratios(windows.size());
    const auto count = static_cast<int>(windows.size());
    for (int i = 0; i < count; ++i) {
        std::vector<double> near;
        for (int j = std::max(0, i - noise_reach); j <= std::min(count - 1, i + noise_reach); ++j)
            near.push_back(measured[static_cast<std::size_t>(j)].noise);
        const auto at = static_cast<std::size_t>(i);
        noise[at] = 0.5 * (measured[at].noise + median_of(std::move(near))) + least_energy;
        ratios[at] = measured[at].line / noise[at];
    }
    // Of a line far over the noise it is the line that counts, of one in it the ratio.
    const double clear = median_of(ratios) / clear_ratio, heeded = 1.0 / (1.0 + clear * clear);
    for (std::size_t i = 0; i < levels.size(); ++i)
        levels[i] = std::log(measured[i].line + noise_weight * noise[i]) - heeded * std::log(noise_weight * noise[i]);
    // Where somebody speaks, a line in the noise cannot be told: such windows count for less.
    const double usual = loud_ratio * median_of(noise), middle = median_of(levels);
    for (std::size_t i = 0; i < levels.size(); ++i)
        levels[i] = middle + std::pow(std::min(1.0, usual / noise[i]), heeded) * (levels[i] - middle);
    return levels;
}

std::vector<double> compared_levels(const LineLevels& line, const std::vector<StepWindow>& windows) {
    std::vector<double> levels = raw_levels(line, windows);
    const std::size_t count = levels.size();
    if (count < 4) return std::vector<double>(count, 0.0);
    const int drift = std::clamp(static_cast<int>(static_cast<double>(count) / windows_a_drift), 1, most_drift);
    for (int order = 0; order <= drift; ++order) {
        // Cosines of the second kind are orthogonal over the windows, so one at a time will do.
        double along = 0.0, square = 0.0;
        std::vector<double> wave(count);
        for (std::size_t i = 0; i < count; ++i) {
            wave[i] = std::cos(std::numbers::pi * order * (static_cast<double>(i) + 0.5) / static_cast<double>(count));
            along += wave[i] * levels[i];
            square += wave[i] * wave[i];
        }
        for (std::size_t i = 0; i < count; ++i) levels[i] -= along / square * wave[i];
    }
    double square = 0.0;
    for (const double level : levels) square += level * level;
    const double scale =
        square > 1e-18 * static_cast<double>(count) ? std::sqrt(static_cast<double>(count) / square) : 0.0;
    for (double& level : levels) level *= scale;
    return levels;
}

}  // namespace tattletone::toggle
