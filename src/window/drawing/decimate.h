#pragma once

#include <cstdint>
#include <vector>

#include "session/live/spectrogram.h"
#include "session/live/spectrum_curve.h"
#include "window/drawing/frequency_axis.h"

namespace tattletone::window {

/// Least and greatest of the curve in one column of pixels; between two bins the line through them.
struct Column {
    float low = 0.0f, high = 0.0f;
};

/// One column a pixel; what the pixels can show and nothing more. Empty without a curve. Columns
/// beyond the curve's ends are `beyond_curve`.
std::vector<Column> columns_of(const session::SpectrumCurve& curve, const FrequencyAxis& axis, int pixels);
inline constexpr float beyond_curve = -1000.0f;

/// Bins that are narrow enough for this view.
double wanted_bin_hz(const FrequencyAxis& axis);

/// Levels to show, so that the lower edge is a little under the median of the columns and the upper
/// edge a little above the greatest; multiples of 10 dB.
struct LevelRange {
    double low_db = -130.0, high_db = -60.0;
};
LevelRange level_range(const std::vector<Column>& columns, double least_high_db);

/// The spectrogram between two moments as a picture: `rows` from `from_seconds` down to
/// `to_seconds`, one byte of strength (0 to 255) a pixel: 0 at `floor_dbfs_per_hz`, 255 40 dB
/// above. Rows without sound are 0.
std::vector<std::uint8_t> spectrogram_picture(const session::Spectrogram& spectrogram, const FrequencyAxis& axis,
                                              int pixels, int rows, double from_seconds, double to_seconds,
                                              double floor_dbfs_per_hz);

}  // namespace tattletone::window
