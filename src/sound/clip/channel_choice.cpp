#include "sound/clip/channel_choice.h"

#include <algorithm>
#include <cmath>
#include <complex>
#include <cstdio>
#include <numbers>
#include <optional>

#include "base/decibels.h"
#include "spectrum/transform.h"

namespace tattletone::sound {
namespace {

constexpr double matter_db = 1.5;  // smaller differences of level or noise decide nothing
constexpr double line_over_floor_db = 9.0;
constexpr double dead_below_loudest_db = 30.0;
constexpr double same_below_db = -60.0;
constexpr std::size_t most_windows = 16;  // the quieter half is averaged: 1.5 dB of scatter a bin
constexpr std::size_t bins_a_block = 64;  // segment over which the floor counts as flat

using Weights = std::vector<float>;
using Power = std::vector<float>;
using Spectra = std::vector<std::vector<std::complex<float>>>;  // by channel, then bin

struct Candidate {
    Weights weights;
    std::string name;
    bool mixed = false;
    Power power;
    double floor = 0.0;
};

Weights only(std::size_t channel, std::size_t channels) {
    Weights weights(channels, 0.0f);
    weights[channel] = 1.0f;
    return weights;
}

std::string number(std::size_t channel) {
    return "channel " + std::to_string(channel + 1);
}

std::string decibels(double db) {
    char text[32];
    std::snprintf(text, sizeof text, "%.1f dB", db);
    return text;
}

template <class Value>
double median(std::vector<Value> values) {
    if (values.empty()) return 0.0;
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
}

/// Variance of channel a plus `sign` times channel b; of a alone with sign 0.
double variance(std::span<const float> x, std::size_t channels, std::size_t a, std::size_t b, float sign) {
    constexpr std::size_t lanes = 8;  // independent sums: the loop need not wait for each addition
    double sums[lanes] = {}, squares[lanes] = {};
    const std::size_t frames = x.size() / channels;
    for (std::size_t i = 0; i < frames; ++i) {
        const double v = x[i * channels + a] + sign * x[i * channels + b];
        sums[i % lanes] += v;
        squares[i % lanes] += v * v;
    }
    double sum = 0.0, square = 0.0;
    for (std::size_t lane = 0; lane < lanes; ++lane) sum += sums[lane], square += squares[lane];
    const double mean = sum / static_cast<double>(frames);
    return std::max(0.0, square / static_cast<double>(frames) - mean * mean);
}

struct Work {
    std::vector<std::complex<float>> samples, spectrum;
};

/// Spectra of two real channels from one complex transform.
void transform_pair(std::span<const float> x, std::size_t channels, std::size_t a, std::size_t b,
                    std::span<const float> taper, spectrum::ComplexTransform& transform, Work& work, Spectra& spectra) {
    const std::size_t size = work.samples.size();
    for (std::size_t i = 0; i < size; ++i) {
        work.samples[i] = {x[i * channels + a] * taper[i], x[i * channels + b] * taper[i]};
    }
    transform.forward(work.samples, work.spectrum);
    for (std::size_t k = 1; k < size / 2; ++k) {
        const std::complex<float> p = work.spectrum[k], q = std::conj(work.spectrum[size - k]);
        const std::complex<float> difference = p - q;
        spectra[a][k] = p + q;
        spectra[b][k] = {difference.imag(), -difference.real()};
    }
}

/// Spectra of the live channels in windows spread evenly over the head, the quieter half of them:
/// speech and knocks in the others say nothing about the floor.
std::vector<Spectra> quiet_windows(std::span<const float> x, std::size_t channels, const std::vector<std::size_t>& live,
                                   std::size_t size) {
    spectrum::ComplexTransform transform(size);
    const std::size_t frames = x.size() / channels;
    const std::size_t count = std::clamp<std::size_t>(frames / size, 1, most_windows);
    Work work{std::vector<std::complex<float>>(size), std::vector<std::complex<float>>(size)};
    std::vector<float> hann(size);
    for (std::size_t i = 0; i < size; ++i) {
        const double turn = 2.0 * std::numbers::pi * static_cast<double>(i) / static_cast<double>(size);
        hann[i] = static_cast<float>(0.5 - 0.5 * std::cos(turn));
    }
    std::vector<std::pair<double, Spectra>> windows(count);
    for (std::size_t w = 0; w < count; ++w) {
        auto& [loudness, spectra] = windows[w];
        spectra.assign(channels, std::vector<std::complex<float>>(size / 2));
        const std::size_t start = count == 1 ? 0 : w * (frames - size) / (count - 1);
        for (std::size_t i = 0; i < live.size(); i += 2) {
            const std::size_t b = live[std::min(i + 1, live.size() - 1)];
            transform_pair(x.subspan(start * channels), channels, live[i], b, hann, transform, work, spectra);
        }
        for (const std::size_t c : live) {
            Power power(size / 2 - size / 16);
            for (std::size_t k = 0; k < power.size(); ++k) power[k] = std::norm(spectra[c][size / 16 + k]);
            loudness += median(std::move(power));
        }
    }
    std::sort(windows.begin(), windows.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
    std::vector<Spectra> quiet;
    for (std::size_t w = 0; w < (count + 1) / 2; ++w) quiet.push_back(std::move(windows[w].second));
    return quiet;
}

void measure(const std::vector<Spectra>& windows, const std::vector<std::size_t>& live, std::size_t bins,
             Candidate& candidate) {
    candidate.power.assign(bins, 0.0f);
    for (const Spectra& spectra : windows) {
        for (std::size_t k = 1; k < bins; ++k) {
            std::complex<float> sum = 0.0f;
            for (const std::size_t c : live) sum += candidate.weights[c] * spectra[c][k];
            candidate.power[k] += sum.real() * sum.real() + sum.imag() * sum.imag();
        }
    }
}

/// Bins where every live channel has a line that stands out of its own surroundings.
std::vector<std::size_t> common_lines(const std::vector<Candidate>& candidates, std::size_t first_bin,
                                      std::size_t last_bin) {
    std::vector<std::size_t> lines;
    const double ratio = base::db_to_power(line_over_floor_db);
    for (std::size_t from = first_bin; from + bins_a_block <= last_bin; from += bins_a_block) {
        std::vector<bool> common(bins_a_block, true);
        for (const Candidate& candidate : candidates) {
            if (candidate.mixed) continue;
            const auto start = candidate.power.begin() + static_cast<std::ptrdiff_t>(from);
            const double around = median(Power(start, start + bins_a_block));
            for (std::size_t k = 0; k < bins_a_block; ++k) {
                common[k] = common[k] && start[static_cast<std::ptrdiff_t>(k)] > ratio * around;
            }
        }
        for (std::size_t k = 0; k < bins_a_block; ++k) {
            if (common[k]) lines.push_back(from + k);
        }
    }
    return lines;
}

struct Judged {
    double gain_db = 0.0;        // line over floor, against the reference channel
    double worst_loss_db = 0.0;  // of a line, against the loudest single channel
};

Judged judge(const Candidate& candidate, const Candidate& reference, const std::vector<Candidate>& candidates,
             const std::vector<std::size_t>& lines) {
    Judged judged;
    std::vector<double> gains, losses;
    for (const std::size_t k : lines) {
        float loudest = 0.0f;
        for (const Candidate& c : candidates) {
            if (!c.mixed) loudest = std::max(loudest, c.power[k]);
        }
        gains.push_back(base::power_to_db(candidate.power[k] / reference.power[k]));
        losses.push_back(base::power_to_db(loudest / std::max(candidate.power[k], 1e-30f)));
    }
    judged.gain_db = median(gains) - base::power_to_db(candidate.floor / reference.floor);
    judged.worst_loss_db = losses.empty() ? 0.0 : *std::max_element(losses.begin(), losses.end());
    return judged;
}

std::vector<Candidate> line_up(const std::vector<std::size_t>& live, std::size_t channels) {
    std::vector<Candidate> candidates;
    for (const std::size_t c : live) candidates.push_back({only(c, channels), number(c), false, {}, 0.0});
    Weights mean(channels, 0.0f);
    for (const std::size_t c : live) mean[c] = 1.0f / static_cast<float>(live.size());
    candidates.push_back({mean, "the mean of the channels", true, {}, 0.0});
    if (live.size() == 2) {
        mean[live[1]] *= -1.0f;
        candidates.push_back({mean, "half the difference of the channels", true, {}, 0.0});
    }
    return candidates;
}

ChannelChoice compare(std::span<const float> x, std::size_t channels, double sample_rate_hz,
                      const std::vector<std::size_t>& live) {
    const std::size_t frames = x.size() / channels;
    std::size_t size = 8192;
    while (size > frames) size /= 2;
    if (size < 1024) return {only(live[0], channels), number(live[0]) + ": too short to compare channels"};

    std::vector<Candidate> candidates = line_up(live, channels);
    const std::vector<Spectra> windows = quiet_windows(x, channels, live, size);
    for (Candidate& candidate : candidates) measure(windows, live, size / 2, candidate);
    const double hz_a_bin = sample_rate_hz / static_cast<double>(size);
    const auto first_bin = static_cast<std::size_t>(1000.0 / hz_a_bin);
    const auto last_bin = std::max(first_bin + 1, static_cast<std::size_t>(0.45 * sample_rate_hz / hz_a_bin));
    for (Candidate& c : candidates) {
        c.floor = median(Power(c.power.begin() + static_cast<std::ptrdiff_t>(std::min(first_bin, size / 4)),
                               c.power.begin() + static_cast<std::ptrdiff_t>(std::min(last_bin, size / 2))));
        c.floor = std::max(c.floor, 1e-30);
    }
    const std::vector<std::size_t> lines = common_lines(candidates, first_bin, std::min(last_bin, size / 2));
    const Candidate& first = candidates[0];
    const Candidate* best = &first;
    double best_db = 0.0;
    for (const Candidate& c : candidates) {
        if (&c == &first) continue;
        if (lines.empty()) {
            const double quieter_db = base::power_to_db(first.floor / c.floor);
            if (!c.mixed && quieter_db > std::max(best_db, matter_db)) best = &c, best_db = quieter_db;
            continue;
        }
        const Judged judged = judge(c, first, candidates, lines);
        if (c.mixed && judged.worst_loss_db > matter_db) continue;
        const double needed = c.mixed ? best_db + matter_db : std::max(best_db, matter_db);
        if (judged.gain_db > needed) best = &c, best_db = judged.gain_db;
    }
    if (best == &first) return {first.weights, first.name + ": the others and a mixture are no quieter"};
    if (!lines.empty() && best->mixed) {
        return {best->weights, best->name +
                                   ": it keeps the level of their common lines and lowers the "
                                   "noise by " +
                                   decibels(best_db)};
    }
    return {best->weights, best->name + ": its noise is " + decibels(best_db) + " lower than " + first.name + "'s" +
                               (lines.empty() ? "" : " against their common lines")};
}

}  // namespace

ChannelChoice choose_channels(std::span<const float> interleaved, std::size_t channels, double sample_rate_hz) {
    if (channels <= 1) return {{1.0f}, ""};
    std::vector<double> level(channels);
    for (std::size_t c = 0; c < channels; ++c) level[c] = variance(interleaved, channels, c, c, 0.0f);
    const auto loudest = static_cast<std::size_t>(std::max_element(level.begin(), level.end()) - level.begin());
    if (interleaved.size() < channels || level[loudest] == 0.0) {
        return {only(0, channels), number(0) + ": all channels are silent"};
    }
    std::vector<std::size_t> live;
    for (std::size_t c = 0; c < channels; ++c) {
        if (level[c] > level[loudest] * base::db_to_power(-dead_below_loudest_db)) live.push_back(c);
    }
    if (live.size() == 1) return {only(live[0], channels), number(live[0]) + ": the others are silent"};
    const double same = level[loudest] * base::db_to_power(same_below_db);
    bool all_same = true, all_opposite = live.size() == 2;
    for (std::size_t i = 1; i < live.size(); ++i) {
        all_same = all_same && variance(interleaved, channels, live[0], live[i], -1.0f) <= same;
        all_opposite = all_opposite && variance(interleaved, channels, live[0], live[i], 1.0f) <= same;
    }
    if (all_same) return {only(live[0], channels), number(live[0]) + ": the channels are the same"};
    if (all_opposite) {
        return {only(live[0], channels),
                number(live[0]) + ": the channels are opposite in sign, a mean would cancel them"};
    }
    return compare(interleaved, channels, sample_rate_hz, live);
}

}  // namespace tattletone::sound
