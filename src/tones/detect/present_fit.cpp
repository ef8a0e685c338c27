#include "tones/detect/present_fit.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

namespace tattletone::tones {
namespace {

constexpr std::size_t present_parts = 32;
// Below this ratio of a part's power to its noise, parts cannot be told apart.
constexpr double least_part_ratio = 4.0;
constexpr double nearly_all = 0.85;

// The run of parts with the largest sum of what they are over half of what the stronger ones are.
std::pair<std::size_t, std::size_t> longest_run(const std::vector<double>& along) {
    std::vector<double> sorted = along;
    const auto high = sorted.begin() + static_cast<std::ptrdiff_t>(3 * sorted.size() / 4);
    std::nth_element(sorted.begin(), high, sorted.end());
    double sum = 0.0, best = 0.0;
    std::size_t begin = 0, best_begin = 0, best_end = along.size();
    for (std::size_t m = 0; m < along.size(); ++m) {
        if (sum <= 0.0) sum = 0.0, begin = m;
        sum += along[m] - 0.5 * *high;
        if (sum > best) best = sum, best_begin = begin, best_end = m + 1;
    }
    return {best_begin, best_end};
}

}  // namespace

PresentFit fit_while_present(const SegmentSpectrum& spectrum, const LineFit& line, std::span<const LineFit> others,
                             double noise) {
    PresentFit whole{0.0, 1.0, line.bin, line.bin_sd, line.half_amplitude, 1.0};
    const double part_noise = noise * static_cast<double>(present_parts);
    const auto parts = amplitude_by_part(spectrum, line, others, present_parts);
    // What a part's power would be if the line, as strong as it is on the whole, were all in one
    // half.
    if (2.0 * std::norm(line.half_amplitude) < least_part_ratio * part_noise) return whole;
    std::vector<double> along;
    const std::complex<double> turn = std::conj(line.half_amplitude) / std::abs(line.half_amplitude);
    for (const auto& part : parts) along.push_back((part * turn).real());
    const auto [begin, end] = longest_run(along);
    const double share = static_cast<double>(end - begin) / static_cast<double>(parts.size());
    if (share > nearly_all) return whole;

    PresentFit fit = whole;
    fit.begin = static_cast<double>(begin) / static_cast<double>(parts.size());
    fit.end = static_cast<double>(end) / static_cast<double>(parts.size());
    double inside = 0.0, outside = 0.0;
    for (std::size_t m = 0; m < parts.size(); ++m) (m >= begin && m < end ? inside : outside) += std::norm(parts[m]);
    fit.outside_share =
        outside / static_cast<double>(parts.size() - (end - begin)) / (inside / static_cast<double>(end - begin));
    double offset = 0.0;  // in bins, from line.bin
    constexpr int steps = 8;
    for (int step = 0; step < steps; ++step) {
        std::complex<double> sum{};
        double time_square = 0.0, drive = 0.0;
        const double count = static_cast<double>(end - begin);
        const double middle = 0.5 * static_cast<double>(begin + end - 1);
        std::vector<std::complex<double>> turned;
        for (std::size_t m = begin; m < end; ++m) {
            const double at = (static_cast<double>(m) - middle) / static_cast<double>(parts.size());
            turned.push_back(parts[m] * std::polar(1.0, -2.0 * std::numbers::pi * offset * at));
            sum += turned.back() / count;
        }
        fit.half_amplitude = sum;
        for (std::size_t m = begin; m < end; ++m) {
            const double at =
                2.0 * std::numbers::pi * (static_cast<double>(m) - middle) / static_cast<double>(parts.size());
            time_square += at * at;
            drive += at * (std::conj(sum) * turned[m - begin]).imag();
        }
        const double power = std::norm(sum);
        if (power <= 0.0 || time_square <= 0.0) return whole;
        fit.bin_sd = std::sqrt(part_noise / (2.0 * power * time_square));
        // What noise alone does not explain is the line's own wandering, which counts as noise
        // here.
        double left = 0.0;
        for (const auto& part : turned) left += std::norm(part - sum);
        const double excess = left / (part_noise * std::max(count - 1.5, 1.0));
        if (excess > 1.0 + 3.0 / std::sqrt(count)) fit.bin_sd *= std::sqrt(excess);
        const double move = drive / (power * time_square);
        offset += std::clamp(move, -0.5, 0.5);
        if (std::abs(move) < 1e-6) break;
    }
    fit.bin = line.bin + offset;
    return fit;
}

}  // namespace tattletone::tones
