#include "window/drawing/decimate.h"

#include <algorithm>
#include <cmath>

namespace tattletone::window {
namespace {

constexpr double least_bins_shown = 150.0;

constexpr double strength_range_db = 40.0;

float between(const std::vector<float>& values, double bin) {
    const auto last = static_cast<double>(values.size() - 1);
    if (bin < 0.0 || bin > last) return beyond_curve;
    const auto below = static_cast<std::size_t>(bin);
    const std::size_t above = std::min(below + 1, values.size() - 1);
    const auto part = static_cast<float>(bin - static_cast<double>(below));
    return values[below] + part * (values[above] - values[below]);
}

/// Bins that lie in each of `pixels` columns: first and one behind the last.
std::pair<std::size_t, std::size_t> bins_in(double from_bin, double to_bin, std::size_t count) {
    const auto first = static_cast<std::size_t>(std::ceil(std::max(0.0, from_bin)));
    const auto behind = static_cast<std::size_t>(std::max(0.0, std::floor(to_bin) + 1.0));
    return {first, std::min(behind, count)};
}

}  // namespace

std::vector<Column> columns_of(const session::SpectrumCurve& curve, const FrequencyAxis& axis, int pixels) {
    std::vector<Column> columns;
    if (curve.dbfs_per_hz.empty() || curve.bin_hz <= 0.0 || pixels <= 0) return columns;
    columns.reserve(static_cast<std::size_t>(pixels));
    double left = axis.hz(0.0) / curve.bin_hz;
    float left_value = between(curve.dbfs_per_hz, left);
    for (int pixel = 0; pixel < pixels; ++pixel) {
        const double right = axis.hz((pixel + 1.0) / pixels) / curve.bin_hz;
        const float right_value = between(curve.dbfs_per_hz, right);
        Column column{std::min(left_value, right_value), std::max(left_value, right_value)};
        if (left_value == beyond_curve) column.low = column.high = right_value;
        if (right_value == beyond_curve) column.low = column.high = left_value;
        const auto [first, behind] = bins_in(left, right, curve.dbfs_per_hz.size());
        for (std::size_t bin = first; bin < behind; ++bin) {
            column.low = std::min(column.low, curve.dbfs_per_hz[bin]);
            column.high = std::max(column.high, curve.dbfs_per_hz[bin]);
        }
        columns.push_back(column);
        left = right;
        left_value = right_value;
    }
    return columns;
}

double wanted_bin_hz(const FrequencyAxis& axis) {
    return (axis.high_hz - axis.low_hz) / least_bins_shown;
}

LevelRange level_range(const std::vector<Column>& columns, double least_high_db) {
    std::vector<float> middle;
    float highest = static_cast<float>(least_high_db);
    for (const Column& column : columns) {
        if (column.high <= -390.0f) continue;
        middle.push_back(0.5f * (column.low + column.high));
        highest = std::max(highest, column.high);
    }
    if (middle.empty()) return {};
    const auto low = middle.begin() + static_cast<std::ptrdiff_t>(middle.size() / 10);
    std::nth_element(middle.begin(), low, middle.end());
    LevelRange range;
    range.low_db = 10.0 * std::floor((*low - 8.0) / 10.0);
    range.high_db = 10.0 * std::ceil((highest + 8.0) / 10.0);
    range.high_db = std::max(range.high_db, range.low_db + 40.0);
    return range;
}

std::vector<std::uint8_t> spectrogram_picture(const session::Spectrogram& spectrogram, const FrequencyAxis& axis,
                                              int pixels, int rows, double from_seconds, double to_seconds,
                                              double floor_dbfs_per_hz) {
    std::vector<std::uint8_t> picture(static_cast<std::size_t>(std::max(0, pixels)) *
                                      static_cast<std::size_t>(std::max(0, rows)));
    if (spectrogram.rows.empty() || spectrogram.bin_hz <= 0.0 || picture.empty()) return picture;
    std::vector<std::pair<std::size_t, std::size_t>> bins;
    const std::size_t count = spectrogram.rows.front()->cells.size();
    for (int pixel = 0; pixel < pixels; ++pixel) {
        const double left = axis.hz(static_cast<double>(pixel) / pixels) / spectrogram.bin_hz;
        const double right = axis.hz((pixel + 1.0) / pixels) / spectrogram.bin_hz;
        auto part = bins_in(left, right, count);
        if (part.first >= part.second) {  // narrower than a bin: the nearest
            const double nearest = std::round(0.5 * (left + right));
            const bool inside = nearest >= 0.0 && nearest < static_cast<double>(count);
            const auto bin = inside ? static_cast<std::size_t>(nearest) : 0;
            part = {bin, inside ? bin + 1 : 0};
        }
        bins.push_back(part);
    }
    const double step_seconds = (to_seconds - from_seconds) / rows;
    for (int y = 0; y < rows; ++y) {
        const double begin = from_seconds + y * step_seconds;
        const double middle = begin + 0.5 * step_seconds;
        const auto row = std::lower_bound(spectrogram.rows.begin(), spectrogram.rows.end(), middle,
                                          [](const std::shared_ptr<const session::SpectrogramRow>& r, double seconds) {
                                              return r->seconds < seconds;
                                          });
        if (row == spectrogram.rows.end() || (*row)->seconds - middle > 1.5 * spectrogram.row_seconds + 1e-9) continue;
        for (std::size_t x = 0; x < bins.size(); ++x) {
            std::uint8_t strongest = 0;
            for (std::size_t bin = bins[x].first; bin < bins[x].second; ++bin)
                strongest = std::max(strongest, (*row)->cells[bin]);
            const double db = session::from_cell(strongest) - floor_dbfs_per_hz;
            picture[static_cast<std::size_t>(y) * static_cast<std::size_t>(pixels) + x] =
                static_cast<std::uint8_t>(std::clamp(255.0 * db / strength_range_db, 0.0, 255.0));
        }
    }
    return picture;
}

}  // namespace tattletone::window
