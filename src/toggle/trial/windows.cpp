#include "toggle/trial/windows.h"

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>

#include "spectrum/transform.h"

namespace tattletone::toggle {
namespace {

constexpr double noise_weight =
    8.0;  // under the logarithm: in the noise it is as good as the power, which tells most there
constexpr double amplitude_weight = 4.0;  // the same of amplitudes
constexpr double unsure_share = 0.1;      // of the usual, by which a phase counts for less where little tells it
constexpr int noise_reach = 3;            // windows on either side whose noise counts too
constexpr double clear_ratio = 10.0;      // from such a power ratio on a line is followed whatever the noise does
constexpr double windows_a_drift = 30.0;  // a half-wave of drift for so many
constexpr int most_drift = 4;
constexpr int most_in_phase = 16;        // steps on either side that may tell a line's phase
constexpr double surely_in_phase = 3.0;  // in standard deviations of noise
constexpr double loud_ratio = 1.5;       // of a window's noise to the usual, from which on it counts for less
constexpr double least_energy = 1e-20;

double median_of(std::vector<double> values) {
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
}

// The amplitude of each window in the phase that its neighbours tell, in units of the noise's; empty where the line
// keeps no phase that could be seen. Known phase, the amplitude tells more than the power: noise beside it is left out,
// and what is left adds up evenly.
std::vector<double> in_phase(const LineLevels& line, const std::vector<StepWindow>& windows,
                             const std::vector<double>& noise) {
    std::vector<double> found;
    if (!line.has_phase() || windows.size() < 2) return found;
    double apart = windows[1].from - windows[0].from;
    for (std::size_t i = 1; i < windows.size(); ++i) apart = std::min(apart, windows[i].from - windows[i - 1].from);
    const auto place = [&](std::size_t i) {
        return static_cast<std::size_t>(std::lround((windows[i].from - windows[0].from) / apart));
    };
    const std::size_t length = place(windows.size() - 1) + 1;
    std::vector<std::complex<double>> values(length);
    for (std::size_t i = 0; i < windows.size(); ++i)
        values[place(i)] = line.amplitude(windows[i].from, windows[i].to) / std::sqrt(noise[i]);
    // What the line is off from where it was looked for: the strongest turn.
    std::vector<std::complex<float>> padded(spectrum::fast_size_at_least(4 * length)), turns(padded.size());
    std::copy(values.begin(), values.end(), padded.begin());
    spectrum::ComplexTransform(padded.size()).forward(padded, turns);
    const auto strongest =
        std::max_element(turns.begin(), turns.end(), [](auto a, auto b) { return std::norm(a) < std::norm(b); });
    const double turn =
        -2.0 * std::numbers::pi * static_cast<double>(strongest - turns.begin()) / static_cast<double>(padded.size());
    for (std::size_t i = 0; i < length; ++i) values[i] *= std::polar(1.0, turn * static_cast<double>(i));
    // As many neighbours as tell most.
    const double count = static_cast<double>(windows.size());
    double sum = 0.0, most = surely_in_phase;
    std::ptrdiff_t reach = 0;
    for (int apart_steps = 1; apart_steps <= most_in_phase; ++apart_steps) {
        for (std::size_t i = static_cast<std::size_t>(apart_steps); i < length; ++i)
            sum += (std::conj(values[i]) * values[i - static_cast<std::size_t>(apart_steps)]).real();
        if ((apart_steps & (apart_steps - 1)) != 0) continue;
        const double sure = sum / std::sqrt(0.5 * count * apart_steps);
        if (sure <= most) continue;
        most = sure;
        reach = apart_steps;
    }
    if (reach == 0) return found;
    const auto end = static_cast<std::ptrdiff_t>(length);
    std::vector<std::complex<double>> around(windows.size());
    double usual = 0.0;
    for (std::size_t i = 0; i < windows.size(); ++i) {
        const auto here = static_cast<std::ptrdiff_t>(place(i));
        for (std::ptrdiff_t j = std::max<std::ptrdiff_t>(0, here - reach); j <= std::min(end - 1, here + reach); ++j)
            if (j != here) around[i] += values[static_cast<std::size_t>(j)];
        usual += std::norm(around[i]) / count;
    }
    for (std::size_t i = 0; i < windows.size(); ++i)
        found.push_back((std::conj(values[place(i)]) * around[i]).real() /
                        std::sqrt(std::norm(around[i]) + unsure_share * usual + least_energy));
    return found;
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

namespace {

std::vector<double> raw_levels(const LineLevels& line, const std::vector<StepWindow>& windows, LevelKind kind) {
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
    const std::vector<double> amplitudes =
        kind == LevelKind::in_phase ? in_phase(line, windows, noise) : std::vector<double>();
    for (std::size_t i = 0; i < levels.size(); ++i) {
        if (amplitudes.empty()) {
            levels[i] =
                std::log(measured[i].line + noise_weight * noise[i]) - heeded * std::log(noise_weight * noise[i]);
            continue;
        }
        const double amplitude = heeded * amplitudes[i] + (1.0 - heeded) * std::sqrt(ratios[i]);
        levels[i] = 2.0 * std::log(std::max(amplitude, -0.75 * amplitude_weight) + amplitude_weight) +
                    (1.0 - heeded) * std::log(noise[i]);
    }
    // Where somebody speaks, a line in the noise cannot be told: such windows count for less.
    const double usual = loud_ratio * median_of(noise), middle = median_of(levels);
    for (std::size_t i = 0; i < levels.size(); ++i)
        levels[i] = middle + std::pow(std::min(1.0, usual / noise[i]), heeded) * (levels[i] - middle);
    return levels;
}

}  // namespace

std::vector<double> power_levels(const LineLevels& line, const std::vector<StepWindow>& windows) {
    return raw_levels(line, windows, LevelKind::power);
}

std::vector<double> compared_levels(const LineLevels& line, const std::vector<StepWindow>& windows, LevelKind kind) {
    std::vector<double> levels = raw_levels(line, windows, kind);
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
