#include "tones/detect/faint.h"

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>

#include "base/decibels.h"
#include "tones/detect/line_limits.h"
#include "tones/detect/steady.h"

namespace tattletone::tones {
namespace {

// Lower ones would need a window of less than a bin to mean anything.
constexpr double least_statistic = 7.0;
constexpr int line_reach = 5;  // bins on each side that hold 96 % of a line or more
constexpr double apart_bins = 4.0;
constexpr double half_octave_around = 1.19;
constexpr std::size_t most_lines = 4000;

struct Peak {
    double bin = 0.0, statistic = 0.0, floor = 0.0;
};

// Where between the bins a line stands, by the largest and its neighbours (E. Jacobsen and P. Kootsookos,
// IEEE Signal Processing Magazine 24(3), 2007; the signs are those of phases told at the middle).
double bin_of_line(std::span<const std::complex<float>> bins, std::size_t k) {
    const std::complex<double> below = bins[k - 1], here = bins[k], above = bins[k + 1];
    const std::complex<double> sum = 2.0 * here + below + above;
    const double offset = std::norm(sum) > 0.0 ? ((above - below) / sum).real() : 0.0;
    return static_cast<double>(k) + std::clamp(offset, -0.6, 0.6);
}

// (a/2)² of a line at `bin`.
double power_at(std::span<const std::complex<float>> bins, double bin) {
    const auto centre = static_cast<int>(std::lround(bin));
    std::complex<double> projection{};
    double square = 0.0;
    // The sine of the next bin's angle is this one's with the other sign.
    double sine = std::sin(std::numbers::pi * (bin - (centre - line_reach)));
    for (int k = centre - line_reach; k <= centre + line_reach; ++k, sine = -sine) {
        const double angle = std::numbers::pi * (bin - k);
        const double shape = std::abs(angle) < 1e-6 ? 1.0 : sine / angle;
        projection += std::complex<double>(bins[static_cast<std::size_t>(k)]) * shape;
        square += shape * shape;
    }
    return std::norm(projection) / square;
}

// The maximum of the power, by a parabola through three points about `bin`.
double sharpened(std::span<const std::complex<float>> bins, double bin) {
    constexpr double step = 0.2;
    const double below = power_at(bins, bin - step), here = power_at(bins, bin), above = power_at(bins, bin + step);
    const double bend = 2.0 * here - below - above;
    return bend > 0.0 ? bin + std::clamp(0.5 * step * (above - below) / bend, -0.5, 0.5) : bin;
}

bool leaks(std::span<const LineFit> known, double bin, double power) {
    double sum = 0.0;
    for (const LineFit& line : known) {
        const double distance = std::abs(line.bin - bin);
        if (distance < apart_bins) return true;
        sum += std::norm(line.half_amplitude) / (std::numbers::pi * distance * std::numbers::pi * distance);
    }
    return sum > leakage_share * power;
}

bool among_notes(std::span<const double> event_hz, double hz, double note_reach) {
    const auto near = std::lower_bound(event_hz.begin(), event_hz.end(), hz / note_reach);
    return near != event_hz.end() && *near < hz * note_reach;
}

}  // namespace

std::vector<FaintLine> faint_lines(const SegmentSpectrum& spectrum, const NoiseFloor& floor, Band band,
                                   double threshold, std::span<const LineFit> known, std::span<const double> event_hz,
                                   bool& crowded, const RejectionLimits& limits) {
    const auto bins = spectrum.values();
    if (bins.size() < 512) return {};
    const double a_bin_hz = spectrum.bin_hz();
    const auto first = static_cast<std::size_t>(std::max(band.low_hz / a_bin_hz, 32.0));
    const auto last = std::min(static_cast<std::size_t>(band.high_hz / a_bin_hz), bins.size() - 33);
    std::vector<float> expanded(bins.size());
    floor.expand(expanded);
    const double floor_sd = floor_relative_sd(floor.block());
    std::vector<Peak> peaks;
    // A line half way between two bins reads 4 / pi² of itself in each.
    constexpr float least_in_bin = 0.40f * static_cast<float>(least_statistic);
    for (std::size_t k = first; k <= last; ++k) {
        const float here = std::norm(bins[k]);
        if (here < least_in_bin * expanded[k] || here < std::norm(bins[k - 1]) || here <= std::norm(bins[k + 1]))
            continue;
        Peak peak{sharpened(bins, bin_of_line(bins, k)), 0.0, expanded[k]};
        const double power = power_at(bins, peak.bin);
        peak.statistic = power / peak.floor;
        if (peak.statistic < least_statistic || peak.statistic > threshold) continue;
        if (!leaks(known, peak.bin, power)) peaks.push_back(peak);
    }
    std::vector<FaintLine> lines;
    if (peaks.size() > most_lines) {
        crowded = true;
        return lines;
    }
    const double expected_a_bin = noise_peaks_a_bin(least_statistic, floor_sd);
    auto low = peaks.begin(), high = peaks.begin();
    for (const Peak& peak : peaks) {
        while (low->bin < peak.bin / half_octave_around) ++low;
        while (high != peaks.end() && high->bin <= peak.bin * half_octave_around) ++high;
        // Where noise has more peaks than noise should, it has more high ones still.
        const double from = std::max(peak.bin / half_octave_around, static_cast<double>(first));
        const double to = std::min(peak.bin * half_octave_around, static_cast<double>(last));
        const double expected = std::max((to - from) * expected_a_bin, 1.0);
        const double too_many = std::max(1.0, (static_cast<double>(high - low) - 2.0 * std::sqrt(expected)) / expected);
        FaintLine line;
        line.hz = peak.bin * a_bin_hz;
        if (among_notes(event_hz, line.hz, limits.faint_note_reach)) continue;
        const double s = peak.statistic;
        line.hz_sd = std::sqrt(6.0 / s) / (2.0 * std::numbers::pi) * (1.0 + 2.0 / s) * a_bin_hz;
        line.level_dbfs = base::mean_square_to_dbfs(2.0 * s * peak.floor);
        // d ln s / d dB is ln 10 / 10, and the count falls by s a unit of ln s.
        line.log_noise_density = std::log(noise_peaks_a_bin(s, floor_sd) / a_bin_hz * s * 0.1 * std::numbers::ln10) +
                                 2.0 * std::log(too_many);
        lines.push_back(line);
    }
    return lines;
}

}  // namespace tattletone::tones
