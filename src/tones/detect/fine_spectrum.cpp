#include "tones/detect/fine_spectrum.h"

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>

#include "base/wide_loops.h"
#include "tones/detect/line_fit.h"
#include "tones/detect/noise_floor.h"
#include "tones/tones.h"

namespace tattletone::tones {
namespace {

// A code is this times the root of a power: 6 % apart at the noise's mean, 2 % at ten times that.
constexpr double codes_a_root = 32.0;
// Bins on each side from which the value half-way between two is made, and what they hold of it.
constexpr int between_reach = 8;
// A line is taken out to where its leakage is a tenth of the noise, but no farther than this, and then put back without
// its leakage: so many steps on each side, fewer than match/comb leaves out.
constexpr int farthest_leakage = 4000, own_steps = 4;

std::uint8_t coded(float power) {
    return static_cast<std::uint8_t>(
        std::clamp(static_cast<float>(codes_a_root) * std::sqrt(power) + 0.5f, 1.0f, 255.0f));
}

void take_out(const LineFit& line, double noise, std::span<float> re, std::span<float> im) {
    const auto centre = static_cast<int>(std::lround(line.bin));
    const double reach = std::sqrt(10.0 * std::norm(line.half_amplitude) / noise) / std::numbers::pi;
    const int far = static_cast<int>(std::min(reach, static_cast<double>(farthest_leakage)));
    const int first = std::max(centre - far, 0), last = std::min(centre + far, static_cast<int>(re.size()) - 1);
    // sin(pi (bin - k)) / pi, whose sign changes from bin to bin.
    double sine = std::sin(std::numbers::pi * (line.bin - first)) / std::numbers::pi;
    for (int k = first; k <= last; ++k, sine = -sine) {
        const double apart = line.bin - k;
        const double shape = std::abs(apart) < 1e-6 ? 1.0 : sine / apart;
        re[static_cast<std::size_t>(k)] -= static_cast<float>(line.half_amplitude.real() * shape);
        im[static_cast<std::size_t>(k)] -= static_cast<float>(line.half_amplitude.imag() * shape);
    }
}

void put_back(const LineFit& line, double noise, FineSpectrum& fine) {
    const auto centre = std::lround(2.0 * line.bin);
    for (long i = centre - own_steps; i <= centre + own_steps; ++i) {
        if (i < 0 || i >= static_cast<long>(fine.code.size()) || fine.code[static_cast<std::size_t>(i)] == 0) continue;
        const double angle = std::numbers::pi * (line.bin - 0.5 * static_cast<double>(i));
        const double shape = std::abs(angle) < 1e-6 ? 1.0 : std::sin(angle) / angle;
        std::uint8_t& code = fine.code[static_cast<std::size_t>(i)];
        code = std::max(code, FineSpectrum::code_of(std::norm(line.half_amplitude) * shape * shape / noise));
    }
}

TATTLETONE_WIDE_LOOPS
void between(const float* values, std::size_t count, float* half_way) {
    float taps[2 * between_reach];
    double square = 0.0;
    for (int m = 0; m < 2 * between_reach; ++m) {
        const double distance = between_reach - 0.5 - m;
        taps[m] = static_cast<float>((m % 2 == between_reach % 2 ? -1.0 : 1.0) / (std::numbers::pi * distance));
        square += static_cast<double>(taps[m]) * static_cast<double>(taps[m]);
    }
    for (float& tap : taps) tap /= static_cast<float>(std::sqrt(square));
    for (std::size_t k = 0; k < count; ++k) {
        float sum = 0.0f;
        for (int m = 0; m < 2 * between_reach; ++m) sum += taps[m] * values[k + static_cast<std::size_t>(m)];
        half_way[k] = sum;
    }
}

}  // namespace

double FineSpectrum::power_of(int code) {
    return code * code / (codes_a_root * codes_a_root);
}

std::uint8_t FineSpectrum::code_of(double power) {
    return coded(static_cast<float>(power));
}

FineSpectrum fine_spectrum(const SegmentSpectrum& spectrum, const NoiseFloor& floor, const Band& band,
                           std::span<const LineFit> fits) {
    FineSpectrum fine;
    const auto bins = spectrum.values();
    fine.step_hz = 0.5 * spectrum.bin_hz();
    const auto first =
        static_cast<std::size_t>(std::max(band.low_hz / spectrum.bin_hz(), static_cast<double>(between_reach)));
    const auto last = std::min(static_cast<std::size_t>(std::max(band.high_hz / spectrum.bin_hz(), 0.0)),
                               bins.size() - std::min<std::size_t>(bins.size(), between_reach + 1));
    if (last <= first) return fine;
    std::vector<float> re(bins.size()), im(bins.size()), noise(bins.size());
    for (std::size_t k = 0; k < bins.size(); ++k) re[k] = bins[k].real(), im[k] = bins[k].imag();
    for (const LineFit& line : fits) take_out(line, floor.at(line.bin), re, im);
    floor.expand(noise);
    const std::size_t count = last - first;
    std::vector<float> half_re(count), half_im(count);
    // The value between k and k + 1 is made of the bins from k - 7 to k + 8.
    between(&re[first + 1 - between_reach], count, half_re.data());
    between(&im[first + 1 - between_reach], count, half_im.data());
    fine.code.assign(2 * last + 1, 0);
    for (std::size_t k = first; k < last; ++k) {
        const float scale = 1.0f / noise[k];
        const std::size_t i = k - first;
        fine.code[2 * k] = coded((re[k] * re[k] + im[k] * im[k]) * scale);
        fine.code[2 * k + 1] = coded((half_re[i] * half_re[i] + half_im[i] * half_im[i]) * scale);
    }
    for (const LineFit& line : fits) put_back(line, floor.at(line.bin), fine);
    return fine;
}

}  // namespace tattletone::tones
