#include "spectrum/periodogram.h"

#include <algorithm>
#include <cassert>

#include "spectrum/window.h"

namespace tattletone {

FrameSpectra::FrameSpectra(std::size_t frame_size, double sample_rate_hz)
    : transform_(frame_size),
      window_(sample(hann_window, frame_size)),
      frame_(frame_size),
      spectrum_(frame_size / 2 + 1),
      bin_hz_(sample_rate_hz / static_cast<double>(frame_size)) {
    double squares = 0.0;
    for (const float w : window_) squares += static_cast<double>(w) * w;
    scale_ = 2.0 / (sample_rate_hz * squares);
}

std::vector<float> FrameSpectra::compute(std::span<const float> samples, std::size_t hop,
                                         std::size_t bins) {
    assert(hop > 0 && bins <= this->bins());
    const std::size_t size = frame_size();
    const std::size_t frames = samples.size() < size ? 0 : (samples.size() - size) / hop + 1;
    std::vector<float> rows(frames * bins);
    const float scale = static_cast<float>(scale_);
    for (std::size_t m = 0; m < frames; ++m) {
        const float* const in = samples.data() + m * hop;
        for (std::size_t n = 0; n < size; ++n) frame_[n] = in[n] * window_[n];
        transform_.forward(frame_, spectrum_);
        float* const row = rows.data() + m * bins;
        for (std::size_t k = 0; k < bins; ++k) row[k] = scale * std::norm(spectrum_[k]);
        // The constant and the last bin have no mirror image: one side is all there is.
        row[0] *= 0.5f;
        if (bins == this->bins()) row[bins - 1] *= 0.5f;
    }
    return rows;
}

std::vector<double> welch_density(std::span<const float> samples, double sample_rate_hz,
                                  std::size_t frame_size) {
    FrameSpectra spectra(frame_size, sample_rate_hz);
    const std::vector<float> rows = spectra.compute(samples, frame_size / 2, spectra.bins());
    if (rows.empty()) return {};
    std::vector<double> mean(spectra.bins());
    const std::size_t frames = rows.size() / mean.size();
    for (std::size_t m = 0; m < frames; ++m)
        for (std::size_t k = 0; k < mean.size(); ++k) mean[k] += rows[m * mean.size() + k];
    for (double& value : mean) value /= static_cast<double>(frames);
    return mean;
}

double effective_averages(int frames) {
    const double k = frames;
    return frames < 1 ? 0.0 : 18.0 * k * k / (19.0 * k - 1.0);
}

}  // namespace tattletone
