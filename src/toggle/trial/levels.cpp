#include "toggle/trial/levels.h"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <thread>

#include "spectrum/transform.h"

namespace tattletone::toggle {
namespace {

constexpr double bins_a_window = 32.0;  // of the band around a narrow line, from which its noise is taken
constexpr double sloped_share = 0.15;   // of a band, half at either edge
constexpr double sums_a_window = 32.0;

// The value of running sums at a fractional place.
template <class Value>
Value at(const std::vector<Value>& sums, double place) {
    if (sums.empty()) return Value{};
    const double held = std::clamp(place, 0.0, static_cast<double>(sums.size() - 1));
    const auto below = static_cast<std::size_t>(held);
    if (below + 1 >= sums.size()) return sums.back();
    return sums[below] + (held - static_cast<double>(below)) * (sums[below + 1] - sums[below]);
}

std::vector<double> energy_sums(const std::vector<std::complex<float>>& envelope, std::size_t keep) {
    std::vector<double> sums(keep + 1, 0.0);
    const std::size_t each = envelope.size() / keep;
    for (std::size_t i = 0; i < keep; ++i) {
        double sum = 0.0;
        for (std::size_t j = i * each; j < (i + 1) * each; ++j) sum += static_cast<double>(std::norm(envelope[j]));
        sums[i + 1] = sums[i] + sum / static_cast<double>(each);
    }
    return sums;
}

}  // namespace

LineLevels::Measured LineLevels::within(double from_seconds, double to_seconds) const {
    const double from = from_seconds / step_seconds_, to = to_seconds / step_seconds_, count = to - from;
    Measured measured;
    const double energy = at(energy_, to) - at(energy_, from);
    if (sums_.empty()) {
        measured.line = energy / count;
        if (!beside_.empty()) measured.noise = beside_ratio_ * (at(beside_, to) - at(beside_, from)) / count;
        return measured;
    }
    const double coherent = std::norm(at(sums_, to) - at(sums_, from)) / count;
    measured.line = coherent / count;
    measured.noise = std::max(energy - coherent, 0.0) / std::max(flat_share_ * count - 1.0, 1.0) / count;
    return measured;
}

std::complex<double> LineLevels::amplitude(double from_seconds, double to_seconds) const {
    const double from = from_seconds / step_seconds_, to = to_seconds / step_seconds_;
    return (at(sums_, to) - at(sums_, from)) / (to - from);
}

Spectrum::Spectrum(const sound::Recording& recording) {
    std::size_t size = spectrum::fast_size_at_least(recording.samples.size() + recording.samples.size() % 2);
    while (size % 2 != 0) size = spectrum::fast_size_at_least(size + 1);
    std::vector<float> samples(size, 0.0f);
    std::copy(recording.samples.begin(), recording.samples.end(), samples.begin());
    spectrum::RealTransform transform(size);
    bins_.resize(transform.bins());
    transform.forward(samples, bins_);
    for (std::complex<float>& bin : bins_) bin *= 2.0f / static_cast<float>(size);
    bin_hz_ = recording.sample_rate_hz / static_cast<double>(size);
}

double Spectrum::peak_between(double low_hz, double high_hz) const {
    const auto held = [&](double hz) {
        return static_cast<std::size_t>(std::clamp(hz / bin_hz_, 0.0, static_cast<double>(bins_.size() - 1)));
    };
    std::size_t best = held(low_hz);
    for (std::size_t bin = best; bin <= held(high_hz); ++bin)
        if (std::norm(bins_[bin]) > std::norm(bins_[best])) best = bin;
    return static_cast<double>(best) * bin_hz_;
}

// The inverse transform of a band, with its middle at 0 Hz: two conjugations around a forward one.
std::vector<std::complex<float>> Spectrum::envelope(double low_hz, double high_hz, double& step_seconds) const {
    const auto first = static_cast<std::ptrdiff_t>(std::floor(low_hz / bin_hz_));
    const auto count = static_cast<std::size_t>(std::max(8.0, std::ceil((high_hz - low_hz) / bin_hz_)));
    const std::size_t size = spectrum::fast_size_at_least(count);
    std::vector<std::complex<float>> band(size), envelope(size);
    const auto slope = static_cast<double>(count) * 0.5 * sloped_share;
    const std::size_t middle = count / 2;
    for (std::size_t i = 0; i < count; ++i) {
        const std::ptrdiff_t bin = first + static_cast<std::ptrdiff_t>(i);
        if (bin < 0 || bin >= static_cast<std::ptrdiff_t>(bins_.size())) continue;
        const double edge = static_cast<double>(std::min(i, count - 1 - i)) + 0.5;
        const float gain = edge >= slope ? 1.0f : static_cast<float>(std::sin(0.5 * 3.14159265358979 * edge / slope));
        band[(i + size - middle) % size] = std::conj(gain * bins_[static_cast<std::size_t>(bin)]);
    }
    spectrum::ComplexTransform(size).forward(band, envelope);
    for (std::complex<float>& value : envelope) value = std::conj(value);
    step_seconds = 1.0 / (bin_hz_ * static_cast<double>(size));
    return envelope;
}

std::vector<LineLevels> Spectrum::levels_of(const std::vector<WatchedLine>& lines, double window_seconds,
                                            int threads) const {
    std::vector<LineLevels> levels(lines.size());
    std::atomic<std::size_t> next{0};
    const auto work = [&] {
        for (std::size_t i = next++; i < lines.size(); i = next++) levels[i] = levels_of(lines[i], window_seconds);
    };
    std::vector<std::thread> others;
    for (int i = 1; i < std::min(threads, static_cast<int>(lines.size())); ++i) others.emplace_back(work);
    work();
    for (std::thread& thread : others) thread.join();
    return levels;
}

LineLevels Spectrum::levels_of(const WatchedLine& line, double window_seconds) const {
    LineLevels levels;
    double step = 0.0;
    if (line.half_width_hz <= 0.0) {
        const double half = 0.5 * bins_a_window / window_seconds;
        const auto values = envelope(line.hz - half, line.hz + half, step);
        levels.step_seconds_ = step;
        levels.flat_share_ = (1.0 - 0.5 * sloped_share) * 2.0 * half * step;
        levels.sums_.resize(values.size() + 1);
        levels.energy_.resize(values.size() + 1);
        // The band's middle is a bin of the whole recording; what is left to the line is turned away.
        const double middle_hz = (std::floor((line.hz - half) / bin_hz_) +
                                  std::floor(std::max(8.0, std::ceil(2.0 * half / bin_hz_)) / 2.0)) *
                                 bin_hz_;
        const double turn = -2.0 * 3.14159265358979 * (line.hz - middle_hz) * step;
        for (std::size_t i = 0; i < values.size(); ++i) {
            const std::complex<double> value(values[i]);
            levels.sums_[i + 1] = levels.sums_[i] + value * std::polar(1.0, turn * static_cast<double>(i));
            levels.energy_[i + 1] = levels.energy_[i] + std::norm(value);
        }
        return levels;
    }
    levels.band_ = line.kind == WatchedLine::Kind::band;
    const double recording_seconds = 1.0 / bin_hz_;
    const auto keep_of = [&](std::size_t size) {
        const double wanted = sums_a_window * recording_seconds / window_seconds;
        return std::max<std::size_t>(
            1, size / std::max<std::size_t>(1, static_cast<std::size_t>(static_cast<double>(size) / wanted)));
    };
    const double low = line.hz - line.half_width_hz, high = line.hz + line.half_width_hz;
    const auto own = envelope(low, high, step);
    const std::size_t keep = std::min(keep_of(own.size()), own.size());
    levels.energy_ = energy_sums(own, keep);
    levels.step_seconds_ = step * static_cast<double>(own.size() / keep);
    if (levels.band_) return levels;
    const double reach = std::max(line.half_width_hz, 16.0 / window_seconds);
    const auto below = envelope(low - reach, low, step), above = envelope(high, high + reach, step);
    std::vector<double> beside = energy_sums(below, keep_of(below.size()));
    const std::vector<double> upper = energy_sums(above, keep_of(above.size()));
    levels.beside_.resize(levels.energy_.size());
    const auto rescaled = [&](const std::vector<double>& sums, double place) {
        const double scale = static_cast<double>(sums.size() - 1) / static_cast<double>(levels.energy_.size() - 1);
        return at(sums, place * scale) / scale;
    };
    for (std::size_t i = 0; i < levels.beside_.size(); ++i)
        levels.beside_[i] = rescaled(beside, static_cast<double>(i)) + rescaled(upper, static_cast<double>(i));
    levels.beside_ratio_ = line.half_width_hz / reach;
    return levels;
}

}  // namespace tattletone::toggle
