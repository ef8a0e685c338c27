#include "spectrum/periodogram.h"

#include <algorithm>
#include <complex>
#include <list>

#include "base/wide_loops.h"
#include "spectrum/window.h"

namespace tattletone::spectrum {
namespace {

constexpr std::size_t most_kept = 2;

struct HannFrame {
    std::vector<float> window, frame;
    std::vector<std::complex<float>> spectrum;
    double squares = 0.0;  // sum of the window's

    explicit HannFrame(std::size_t size) : window(sample(hann_window, size)), frame(size), spectrum(size / 2 + 1) {
        for (const float w : window) squares += static_cast<double>(w) * w;
    }
};

// Of the two sizes last asked for by the calling thread, as kept_transform() does.
HannFrame& kept_frame(std::size_t size) {
    thread_local std::list<HannFrame> kept;
    const auto known =
        std::find_if(kept.begin(), kept.end(), [&](const HannFrame& frame) { return frame.window.size() == size; });
    if (known != kept.end()) {
        kept.splice(kept.begin(), kept, known);
    } else {
        kept.emplace_front(size);
        if (kept.size() > most_kept) kept.pop_back();
    }
    return kept.front();
}

TATTLETONE_WIDE_LOOPS
void multiply(const float* samples, const float* window, std::size_t size, float* product) {
    for (std::size_t n = 0; n < size; ++n) product[n] = samples[n] * window[n];
}

TATTLETONE_WIDE_LOOPS
void powers(const std::complex<float>* spectrum, std::size_t bins, float scale, float* power) {
    // Laid out as real and imaginary parts in turn, by the standard.
    const auto* const parts = reinterpret_cast<const float*>(spectrum);
    for (std::size_t k = 0; k < bins; ++k)
        power[k] = scale * (parts[2 * k] * parts[2 * k] + parts[2 * k + 1] * parts[2 * k + 1]);
}

TATTLETONE_WIDE_LOOPS
void add(const float* values, std::size_t size, double* sums) {
    for (std::size_t k = 0; k < size; ++k) sums[k] += static_cast<double>(values[k]);
}

}  // namespace

Frames frame_spectra(std::span<const float> samples, double sample_rate_hz, std::size_t frame_size) {
    RealTransform& transform = kept_transform(frame_size);
    HannFrame& hann = kept_frame(frame_size);
    const auto scale = static_cast<float>(2.0 / (sample_rate_hz * hann.squares));
    const std::size_t hop = frame_size / 2;

    Frames frames;
    frames.count = samples.size() < frame_size ? 0 : (samples.size() - frame_size) / hop + 1;
    frames.bins = transform.bins();
    frames.bin_hz = sample_rate_hz / static_cast<double>(frame_size);
    frames.frame_seconds = static_cast<double>(frame_size) / sample_rate_hz;
    frames.hop_seconds = static_cast<double>(hop) / sample_rate_hz;
    frames.rows.resize(frames.count * frames.bins);
    for (std::size_t m = 0; m < frames.count; ++m) {
        multiply(samples.data() + m * hop, hann.window.data(), frame_size, hann.frame.data());
        transform.forward(hann.frame, hann.spectrum);
        float* const row = frames.rows.data() + m * frames.bins;
        powers(hann.spectrum.data(), frames.bins, scale, row);
        // The constant and the last bin have no mirror image: one side is all there is.
        row[0] *= 0.5f;
        row[frames.bins - 1] *= 0.5f;
    }
    return frames;
}

std::vector<double> mean_density(const Frames& frames) {
    std::vector<double> mean(frames.bins);
    // In pieces whose sums stay in the processor's nearest cache.
    constexpr std::size_t piece = 2048;
    for (std::size_t first = 0; first < frames.bins; first += piece)
        for (std::size_t m = 0; m < frames.count; ++m)
            add(frames.row(m).data() + first, std::min(piece, frames.bins - first), mean.data() + first);
    for (double& value : mean) value /= static_cast<double>(std::max<std::size_t>(frames.count, 1));
    return mean;
}

std::vector<double> welch_density(std::span<const float> samples, double sample_rate_hz, std::size_t frame_size) {
    const Frames frames = frame_spectra(samples, sample_rate_hz, frame_size);
    return frames.count > 0 ? mean_density(frames) : std::vector<double>{};
}

double effective_averages(int frames) {
    const double k = frames;
    return frames < 1 ? 0.0 : 18.0 * k * k / (19.0 * k - 1.0);
}

}  // namespace tattletone::spectrum
