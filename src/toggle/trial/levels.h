#pragma once

#include <complex>
#include <span>
#include <vector>

#include "sound/recording.h"
#include "toggle/trial/watched.h"

namespace tattletone::toggle {

/// What a watched line does over the recording: running sums from which the energy within any window can be had.
class LineLevels {
  public:
    struct Measured {
        double line = 0.0;   ///< energy of the line within the window, a mean square of the samples
        double noise = 0.0;  ///< what the noise beside it would give there; 0 of a band
    };
    Measured within(double from_seconds, double to_seconds) const;
    bool is_band() const { return band_; }
    /// The line's mean complex amplitude within the window, as if turning at the line's frequency: its square is
    /// Measured::line. Only where `has_phase`, of a narrow line.
    std::complex<double> amplitude(double from_seconds, double to_seconds) const;
    bool has_phase() const { return !sums_.empty(); }

  private:
    friend class Spectrum;
    std::vector<std::complex<double>> sums_;  ///< of the line's complex envelope, empty of a band
    std::vector<double> energy_, beside_;     ///< of the line's own band, and of what is beside a wide one
    double step_seconds_ = 0.0, flat_share_ = 1.0, beside_ratio_ = 0.0;
    bool band_ = false;
};

/// The whole recording's spectrum, from which each line's envelope is taken.
class Spectrum {
  public:
    explicit Spectrum(const sound::Recording& recording);
    /// `window_seconds`: the shortest window that will be asked for.
    std::vector<LineLevels> levels_of(const std::vector<WatchedLine>& lines, double window_seconds, int threads) const;
    double peak_between(double low_hz, double high_hz) const;

  private:
    LineLevels levels_of(const WatchedLine& line, double window_seconds) const;
    std::vector<std::complex<float>> envelope(double low_hz, double high_hz, double& step_seconds) const;
    std::vector<std::complex<float>> bins_;
    double bin_hz_ = 0.0;
};

}  // namespace tattletone::toggle
