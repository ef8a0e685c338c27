#include "spectrum/periodogram.h"

#include <algorithm>
#include <complex>

#include "spectrum/window.h"

namespace tattletone {

Frames frame_spectra(std::span<const float> samples, double sample_rate_hz,
                     std::size_t frame_size) {
    RealTransform& transform = kept_transform(frame_size);
    const std::vector<float> window = sample(hann_window, frame_size);
    double squares = 0.0;
    for (const float w : window) squares += static_cast<double>(w) * w;
    const auto scale = static_cast<float>(2.0 / (sample_rate_hz * squares));
    const std::size_t hop = frame_size / 2;

    Frames frames;
    frames.count = samples.size() < frame_size ? 0 : (samples.size() - frame_size) / hop + 1;
    frames.bins = transform.bins();
    frames.bin_hz = sample_rate_hz / static_cast<double>(frame_size);
    frames.frame_seconds = static_cast<double>(frame_size) / sample_rate_hz;
    frames.hop_seconds = static_cast<double>(hop) / sample_rate_hz;
    frames.rows.resize(frames.count * frames.bins);
    std::vector<float> frame(frame_size);
    std::vector<std::complex<float>> spectrum(transform.bins());
    for (std::size_t m = 0; m < frames.count; ++m) {
        const float* const in = samples.data() + m * hop;
        for (std::size_t n = 0; n < frame_size; ++n) frame[n] = in[n] * window[n];
        transform.forward(frame, spectrum);
        float* const row = frames.rows.data() + m * frames.bins;
        for (std::size_t k = 0; k < frames.bins; ++k) row[k] = scale * std::norm(spectrum[k]);
        // The constant and the last bin have no mirror image: one side is all there is.
        row[0] *= 0.5f;
        row[frames.bins - 1] *= 0.5f;
    }
    return frames;
}

std::vector<double> mean_density(const Frames& frames) {
    std::vector<double> mean(frames.bins);
    for (std::size_t m = 0; m < frames.count; ++m)
        for (std::size_t k = 0; k < frames.bins; ++k) mean[k] += frames.rows[m * frames.bins + k];
    for (double& value : mean) value /= static_cast<double>(std::max<std::size_t>(frames.count, 1));
    return mean;
}

std::vector<double> welch_density(std::span<const float> samples, double sample_rate_hz,
                                  std::size_t frame_size) {
    const Frames frames = frame_spectra(samples, sample_rate_hz, frame_size);
    return frames.count > 0 ? mean_density(frames) : std::vector<double>{};
}

double effective_averages(int frames) {
    const double k = frames;
    return frames < 1 ? 0.0 : 18.0 * k * k / (19.0 * k - 1.0);
}

}  // namespace tattletone
