#include "tones/detect/line_fit.h"

#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>
#include <numbers>

#include "base/wide_loops.h"
#include "spectrum/transform.h"

namespace tattletone::tones {
namespace {

using std::numbers::pi;

constexpr int plain_reach = 24;
constexpr int hann_reach = 4;
constexpr int most_steps = 12;
constexpr double converged_bins = 1e-7;

// The Dirichlet kernel and its slope for N → ∞; the difference at N = 10^4 and 50 bins is below
// 1e-5.
struct Kernel {
    double value, slope;
};

Kernel sinc_kernel(double x) {
    const double angle = pi * x;
    if (std::abs(angle) < 1e-4) return {1.0 - angle * angle / 6.0, -pi * angle / 3.0};
    const double value = std::sin(angle) / angle;
    return {value, (std::cos(angle) - value) / x};
}

Kernel hann_kernel(double x) {
    const Kernel centre = sinc_kernel(x), below = sinc_kernel(x - 1.0), above = sinc_kernel(x + 1.0);
    return {centre.value + 0.5 * (below.value + above.value), centre.slope + 0.5 * (below.slope + above.slope)};
}

struct Patch {
    int first = 0;
    std::vector<std::complex<double>> bins;
};

Patch plain_patch(const SegmentSpectrum& spectrum, int centre, int reach, std::span<const LineFit> others) {
    Patch patch;
    patch.first = std::max(centre - reach, 0);
    const int last = std::min(centre + reach, static_cast<int>(spectrum.bins()) - 1);
    for (int k = patch.first; k <= last; ++k) patch.bins.emplace_back(spectrum.values()[static_cast<std::size_t>(k)]);
    for (const LineFit& other : others)
        for (std::size_t i = 0; i < patch.bins.size(); ++i)
            patch.bins[i] -= other.half_amplitude * sinc_kernel(other.bin - patch.first - static_cast<double>(i)).value;
    return patch;
}

Patch hann_patch(const SegmentSpectrum& spectrum, int centre) {
    Patch patch;
    patch.first = std::max(centre - hann_reach, 1);
    const int last = std::min(centre + hann_reach, static_cast<int>(spectrum.bins()) - 2);
    for (int k = patch.first; k <= last; ++k) patch.bins.push_back(spectrum.hann(static_cast<std::size_t>(k)));
    return patch;
}

// Gauss-Newton steps on the frequency, the amplitude being linear. `correlation` holds the noise's
// correlation between bins 0, 1 and 2 apart.
template <class KernelFunction>
LineFit gauss_newton(const Patch& patch, double start, double noise, KernelFunction kernel,
                     const std::array<double, 3>& correlation) {
    LineFit fit;
    fit.bin = start;
    const std::size_t size = patch.bins.size();
    std::vector<double> value(size), slope(size);
    double value_square = 1.0;
    for (int step = 0; step < most_steps; ++step) {
        std::complex<double> projection{};
        double cross = 0.0;
        value_square = 0.0;
        for (std::size_t i = 0; i < size; ++i) {
            const Kernel k = kernel(fit.bin - patch.first - static_cast<double>(i));
            value[i] = k.value;
            slope[i] = k.slope;
            projection += patch.bins[i] * k.value;
            value_square += k.value * k.value;
            cross += k.value * k.slope;
        }
        fit.half_amplitude = projection / value_square;
        double slope_square = 0.0;
        std::complex<double> drive{};
        for (std::size_t i = 0; i < size; ++i) {
            slope[i] -= cross / value_square * value[i];
            slope_square += slope[i] * slope[i];
            drive += slope[i] * (patch.bins[i] - fit.half_amplitude * value[i]);
        }
        const double power = std::norm(fit.half_amplitude);
        if (power <= 0.0 || slope_square <= 0.0) break;
        const double move =
            std::clamp((std::conj(fit.half_amplitude) * drive).real() / (power * slope_square), -0.3, 0.3);
        double variance = 0.0, amplitude_variance = 0.0;
        for (std::size_t i = 0; i < size; ++i)
            for (std::size_t lag = 0; lag < correlation.size() && i + lag < size; ++lag) {
                const double weight = (lag == 0 ? 1.0 : 2.0) * correlation[lag];
                variance += weight * slope[i] * slope[i + lag];
                amplitude_variance += weight * value[i] * value[i + lag];
            }
        fit.noise_gain = amplitude_variance / (value_square * value_square);
        fit.bin_sd = std::sqrt(noise * variance / (2.0 * power)) / slope_square;
        fit.bin += move;
        if (std::abs(move) < converged_bins) break;
    }
    double left = 0.0;
    for (std::size_t i = 0; i < size; ++i) left += std::norm(patch.bins[i] - fit.half_amplitude * value[i]);
    fit.residual = size > 2 ? left / (static_cast<double>(size) - 1.5) : 0.0;
    return fit;
}

// Multiplies by e^{i pi k (N-1)/N} / N: alternating signs and a slow turn.
TATTLETONE_WIDE_LOOPS
void turn_to_middle(std::size_t size, std::span<std::complex<float>> bins) {
    constexpr std::size_t piece = 256;
    const double scale = 1.0 / static_cast<double>(size);
    double real[piece], imaginary[piece];
    for (std::size_t i = 0; i < piece; ++i) {
        const double sign = i % 2 == 0 ? scale : -scale;
        real[i] = sign * std::cos(pi * scale * static_cast<double>(i));
        imaginary[i] = -sign * std::sin(pi * scale * static_cast<double>(i));
    }
    for (std::size_t first = 0; first < bins.size(); first += piece) {
        const auto start = std::polar(1.0, -pi * scale * static_cast<double>(first));
        const double a = start.real(), b = start.imag();
        // Laid out as real and imaginary parts in turn, by the standard.
        auto* const parts = reinterpret_cast<float*>(bins.data() + first);
        const std::size_t count = std::min(piece, bins.size() - first);
        for (std::size_t i = 0; i < count; ++i) {
            const auto c = static_cast<float>(a * real[i] - b * imaginary[i]);
            const auto d = static_cast<float>(a * imaginary[i] + b * real[i]);
            const float x = parts[2 * i], y = parts[2 * i + 1];
            parts[2 * i] = x * c - y * d;
            parts[2 * i + 1] = x * d + y * c;
        }
    }
}

}  // namespace

SegmentSpectrum::SegmentSpectrum(std::span<const float> samples, double sample_rate_hz) {
    const std::size_t size = spectrum::fast_size_at_most(samples.size());
    spectrum::RealTransform& transform = spectrum::kept_transform(size);
    bins_.resize(transform.bins());
    transform.forward(samples.first(size), bins_);
    seconds_ = static_cast<double>(size) / sample_rate_hz;
    turn_to_middle(size, bins_);
}

std::complex<double> SegmentSpectrum::hann(std::size_t bin) const {
    assert(bin >= 1 && bin + 1 < bins_.size());
    return std::complex<double>(bins_[bin]) +
           0.5 * (std::complex<double>(bins_[bin - 1]) + std::complex<double>(bins_[bin + 1]));
}

LineFit fit_line(const SegmentSpectrum& spectrum, double start, double noise, std::span<const LineFit> others) {
    const Patch patch = plain_patch(spectrum, static_cast<int>(std::lround(start)), plain_reach, others);
    return gauss_newton(patch, start, noise, sinc_kernel, {1.0, 0.0, 0.0});
}

LineFit fit_line_hann(const SegmentSpectrum& spectrum, double start, double noise) {
    const Patch patch = hann_patch(spectrum, static_cast<int>(std::lround(start)));
    return gauss_newton(patch, start, noise, hann_kernel, {1.5, 1.0, 0.25});
}

std::vector<std::complex<double>> amplitude_by_part(const SegmentSpectrum& spectrum, const LineFit& line,
                                                    std::span<const LineFit> others, std::size_t count) {
    const Patch patch =
        plain_patch(spectrum, static_cast<int>(std::lround(line.bin)), static_cast<int>(2 * count), others);
    // A pure line through the same bins, so that what the cut at both ends does to it is divided
    // out.
    std::vector<std::complex<double>> parts(count), pure(count);
    for (std::size_t i = 0; i < patch.bins.size(); ++i) {
        const double x = patch.first + static_cast<double>(i) - line.bin;
        const double weight = sinc_kernel(x / static_cast<double>(count)).value;
        const double of_pure = sinc_kernel(-x).value;
        const std::complex<double> turn = std::polar(1.0, 2.0 * pi * x / static_cast<double>(count));
        std::complex<double> phase = std::polar(weight, 2.0 * pi * x * (0.5 / static_cast<double>(count) - 0.5));
        for (std::size_t m = 0; m < count; ++m) {
            parts[m] += patch.bins[i] * phase;
            pure[m] += of_pure * phase;
            phase *= turn;
        }
    }
    for (std::size_t m = 0; m < count; ++m)
        if (std::abs(pure[m]) > 0.5) parts[m] /= pure[m];
    return parts;
}

}  // namespace tattletone::tones
