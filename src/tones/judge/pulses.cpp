#include "tones/judge/pulses.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <complex>
#include <numbers>
#include <numeric>

#include "spectrum/transform.h"

namespace tattletone::tones {
namespace {

constexpr Band pulse_bands[] = {{2000.0, 4500.0}, {4500.0, 7000.0}, {7000.0, 10000.0}};
constexpr double least_band_hz = 1000.0;
constexpr double envelope_rate_hz = 800.0, pulses_end_hz = 400.0;
constexpr double least_periods = 8.0;
// Of the envelope's logarithm: what a quiet moment is lifted by, what is taken for a change of the sound itself, and
// where an event is cut off, in deviations.
constexpr double lifted_by = 0.05, slow_seconds = 3.0, widest_sds = 3.0;
constexpr std::size_t block_bins = 64;
// One band alone cannot reach the threshold. It is that of the sum of three (two) exponentials which noise exceeds at
// one of 8000 bins once in a thousand recordings, for 20 s.
constexpr double band_held_to = 15.0, threshold_of_three = 23.0, threshold_of_two = 19.5;
constexpr double least_in_half = 6.0;  // of the same sum in either half of the recording
constexpr std::size_t most_pulses = 64;

/// ln of the power in a band, evenly in time, without what changes slowly.
std::vector<float> envelope_of(const SegmentSpectrum& spectrum, const Band& band) {
    const auto values = spectrum.values();
    const auto first = static_cast<std::size_t>(std::ceil(band.low_hz / spectrum.bin_hz()));
    const auto last = std::min(values.size(), static_cast<std::size_t>(band.high_hz / spectrum.bin_hz()));
    const auto count = static_cast<std::size_t>(spectrum.seconds() * envelope_rate_hz);
    const std::size_t size = spectrum::fast_size_at_least(last - first);
    std::vector<std::complex<float>> bins(size), samples(size);
    // The bins' phase is that at the middle of the segment; conjugated, the transform runs back in time: for a power
    // neither matters but for a shift by half the segment.
    std::copy(values.begin() + static_cast<std::ptrdiff_t>(first), values.begin() + static_cast<std::ptrdiff_t>(last),
              bins.begin());
    spectrum::ComplexTransform(size).forward(bins, samples);
    std::vector<float> level(count);
    for (std::size_t i = 0; i < count; ++i) {
        const std::size_t from = i * size / count, to = std::max(from + 1, (i + 1) * size / count);
        float sum = 0.0f;
        for (std::size_t j = from; j < to; ++j) sum += std::norm(samples[(j + size / 2) % size]);
        level[i] = sum / static_cast<float>(to - from);
    }
    std::vector<float> sorted = level;
    const auto middle = sorted.begin() + static_cast<std::ptrdiff_t>(count / 2);
    std::nth_element(sorted.begin(), middle, sorted.end());
    if (!(*middle > 0.0f)) return {};
    for (float& value : level) value = std::log(value + static_cast<float>(lifted_by) * *middle);
    std::vector<double> sums(count + 1, 0.0);
    std::partial_sum(level.begin(), level.end(), sums.begin() + 1, [](double a, float b) { return a + b; });
    const auto half = static_cast<std::size_t>(0.5 * slow_seconds * envelope_rate_hz);
    for (std::size_t i = 0; i < count; ++i) {
        const std::size_t from = i > half ? i - half : 0, to = std::min(count, i + half + 1);
        level[i] -= static_cast<float>((sums[to] - sums[from]) / static_cast<double>(to - from));
        sorted[i] = std::abs(level[i]);
    }
    std::nth_element(sorted.begin(), middle, sorted.end());
    const float limit = static_cast<float>(widest_sds) * 1.48f * *middle;
    for (float& value : level) value = std::clamp(value, -limit, limit);
    return level;
}

/// Power over its own middle nearby, of one part of the envelope.
std::vector<float> whitened(std::span<const float> envelope, std::size_t size) {
    std::vector<float> samples(size, 0.0f);
    for (std::size_t i = 0; i < envelope.size(); ++i) {
        const double angle =
            2.0 * std::numbers::pi * (static_cast<double>(i) + 0.5) / static_cast<double>(envelope.size());
        samples[i] = envelope[i] * static_cast<float>(0.5 - 0.5 * std::cos(angle));
    }
    auto& transform = spectrum::kept_transform(size);
    std::vector<std::complex<float>> bins(transform.bins());
    transform.forward(samples, bins);
    std::vector<float> power(bins.size());
    std::transform(bins.begin(), bins.end(), power.begin(), [](auto bin) { return std::norm(bin); });
    std::vector<float> middles, block;
    for (std::size_t from = 0; from + block_bins <= power.size(); from += block_bins) {
        block.assign(power.begin() + static_cast<std::ptrdiff_t>(from),
                     power.begin() + static_cast<std::ptrdiff_t>(from + block_bins));
        std::nth_element(block.begin(), block.begin() + block_bins / 2, block.end());
        middles.push_back(std::max(block[block_bins / 2], 1e-20f) / static_cast<float>(std::numbers::ln2));
    }
    if (middles.empty()) return {};
    for (std::size_t i = 0; i < power.size(); ++i) {
        const double place =
            std::clamp(static_cast<double>(i) / block_bins - 0.5, 0.0, static_cast<double>(middles.size() - 1));
        const auto below = static_cast<std::size_t>(place);
        const std::size_t above = std::min(below + 1, middles.size() - 1);
        const auto part = static_cast<float>(place - static_cast<double>(below));
        power[i] /= (1.0f - part) * middles[below] + part * middles[above];
    }
    return power;
}

struct Summed {
    std::vector<float> held, whole;  ///< each band's share held to `band_held_to`, and not
};

void add(const std::vector<float>& power, Summed& sum) {
    sum.held.resize(power.size(), 0.0f);
    sum.whole.resize(power.size(), 0.0f);
    for (std::size_t i = 0; i < power.size(); ++i) {
        sum.held[i] += std::min(power[i], static_cast<float>(band_held_to));
        sum.whole[i] += power[i];
    }
}

bool in_half(const Summed& half, double share) {
    const auto near = static_cast<std::ptrdiff_t>(std::lround(share * static_cast<double>(half.held.size() - 1)));
    for (std::ptrdiff_t i = near - 1; i <= near + 1; ++i)
        if (i >= 0 && i < static_cast<std::ptrdiff_t>(half.held.size()) &&
            half.held[static_cast<std::size_t>(i)] > least_in_half)
            return true;
    return false;
}

}  // namespace

std::vector<PulseLine> pulse_lines(const SegmentSpectrum& spectrum, const Band& usable) {
    std::vector<std::vector<float>> envelopes;
    for (Band band : pulse_bands) {
        band.low_hz = std::max(band.low_hz, usable.low_hz);
        band.high_hz = std::min(band.high_hz, usable.high_hz);
        if (band.high_hz - band.low_hz < least_band_hz) continue;
        if (auto envelope = envelope_of(spectrum, band); !envelope.empty()) envelopes.push_back(std::move(envelope));
    }
    if (envelopes.size() < 2) return {};
    const std::size_t count = envelopes[0].size();
    if (count < 4 * block_bins) return {};
    Summed sum;
    std::array<Summed, 2> halves;
    for (const std::vector<float>& envelope : envelopes) {
        add(whitened(envelope, 2 * spectrum::fast_size_at_least(count)), sum);
        const std::span<const float> all(envelope);
        for (std::size_t half = 0; half < 2; ++half)
            add(whitened(all.subspan(half * (count / 2), count / 2), 2 * spectrum::fast_size_at_least(count / 2)),
                halves[half]);
    }
    const double threshold = envelopes.size() == 2 ? threshold_of_two : threshold_of_three;
    const double rate_hz = static_cast<double>(count) / spectrum.seconds();
    const double bin_hz = 0.5 * rate_hz / static_cast<double>(sum.held.size() - 1);
    std::vector<std::pair<float, PulseLine>> found;
    for (std::size_t i = 2; i + 2 < sum.held.size(); ++i) {
        const double hz = bin_hz * static_cast<double>(i);
        if (hz < least_periods / spectrum.seconds() || hz > pulses_end_hz || sum.held[i] < threshold) continue;
        const float* const at = sum.whole.data() + i;
        if (at[0] < at[-1] || at[0] <= at[1] || at[0] < at[-2] || at[0] < at[2]) continue;
        const double share = static_cast<double>(i) / static_cast<double>(sum.held.size() - 1);
        if (!in_half(halves[0], share) || !in_half(halves[1], share)) continue;
        const double below = std::log(at[-1]), middle = std::log(at[0]), above = std::log(at[1]);
        const double bend = below - 2.0 * middle + above;
        const double by = bend < 0.0 ? std::clamp(0.5 * (below - above) / bend, -0.5, 0.5) : 0.0;
        // The Cramer-Rao bound of a sinusoid in noise, sqrt(6 / ratio) / (2 pi T), and a third for the window.
        const double sd_hz = 1.3 * std::sqrt(6.0 / at[0]) / (2.0 * std::numbers::pi * spectrum.seconds());
        found.push_back({at[0], {bin_hz * (static_cast<double>(i) + by), sd_hz}});
    }
    if (found.size() > most_pulses) {
        std::nth_element(found.begin(), found.begin() + most_pulses, found.end(),
                         [](const auto& a, const auto& b) { return a.first > b.first; });
        found.resize(most_pulses);
    }
    std::vector<PulseLine> lines;
    for (const auto& [power, line] : found) lines.push_back(line);
    std::sort(lines.begin(), lines.end(), [](const PulseLine& a, const PulseLine& b) { return a.hz < b.hz; });
    return lines;
}

}  // namespace tattletone::tones
