#pragma once

#include <cstddef>
#include <cstdint>
#include <memory>
#include <span>
#include <vector>

namespace tattletone::session {

/// Density in dBFS per Hz in a byte: steps of 2/3 dB from -180 to -10.
std::uint8_t to_cell(double dbfs_per_hz);
double from_cell(std::uint8_t cell);

struct SpectrogramRow {
    double seconds = 0.0;  ///< at its end, on the clock of the sound heard
    std::vector<std::uint8_t> cells;
};

/// Rows in order of time. Rows are shared between the spectrograms of successive snapshots.
struct Spectrogram {
    double bin_hz = 0.0;
    double row_seconds = 0.0;  ///< the longest that a row stands for
    std::vector<std::shared_ptr<const SpectrogramRow>> rows;
};

/// Rows of a picture: ten minutes.
inline constexpr std::size_t most_spectrogram_rows = 1200;

/// Makes rows of half a second from sound that comes piece by piece; at most `most_rows`. `thin`:
/// when there are more, every two become one (a clip's whole length stays). Otherwise the oldest
/// go (live).
class SpectrogramMeter {
  public:
    SpectrogramMeter(double sample_rate_hz, std::size_t most_rows, bool thin);
    /// True when a row was added.
    bool add(std::span<const float> samples);
    void add_gap();
    const Spectrogram& spectrogram() const { return picture_; }

  private:
    void keep(SpectrogramRow row);

    double sample_rate_hz_;
    std::size_t frame_size_, most_rows_;
    bool thin_;
    std::size_t rows_a_row_ = 1;
    std::size_t frames_heard_ = 0;
    std::vector<float> waiting_;
    std::vector<SpectrogramRow> pending_;
    Spectrogram picture_;
};

}  // namespace tattletone::session
