#include "session/live/spectrogram.h"

#include <algorithm>
#include <cmath>

#include "base/decibels.h"
#include "spectrum/periodogram.h"

namespace tattletone::session {
namespace {

constexpr double lowest_dbfs_per_hz = -180.0, steps_per_db = 1.5;
constexpr double row_seconds = 0.5;

std::shared_ptr<const SpectrogramRow> louder(const SpectrogramRow& a, const SpectrogramRow& b) {
    auto row = std::make_shared<SpectrogramRow>(b);
    for (std::size_t i = 0; i < row->cells.size(); ++i) row->cells[i] = std::max(a.cells[i], b.cells[i]);
    return row;
}

}  // namespace

std::uint8_t to_cell(double dbfs_per_hz) {
    const double step = (dbfs_per_hz - lowest_dbfs_per_hz) * steps_per_db;
    return static_cast<std::uint8_t>(std::lround(std::clamp(step, 0.0, 255.0)));
}

double from_cell(std::uint8_t cell) {
    return lowest_dbfs_per_hz + cell / steps_per_db;
}

SpectrogramMeter::SpectrogramMeter(double sample_rate_hz, std::size_t most_rows, bool thin)
    : sample_rate_hz_(sample_rate_hz),
      frame_size_(spectrum::fast_size_at_most(static_cast<std::size_t>(sample_rate_hz / 6.0))),
      most_rows_(most_rows),
      thin_(thin) {
    picture_.bin_hz = sample_rate_hz / static_cast<double>(frame_size_);
    picture_.row_seconds = row_seconds;
}

bool SpectrogramMeter::add(std::span<const float> samples) {
    const auto size = static_cast<std::size_t>(row_seconds * sample_rate_hz_);
    bool added = false;
    waiting_.insert(waiting_.end(), samples.begin(), samples.end());
    std::size_t used = 0;
    for (; waiting_.size() - used >= size; used += size) {
        const auto part = std::span<const float>(waiting_).subspan(used, size);
        const std::vector<double> density =
            spectrum::mean_density(spectrum::frame_spectra(part, sample_rate_hz_, frame_size_));
        frames_heard_ += size;
        SpectrogramRow row;
        row.seconds = static_cast<double>(frames_heard_) / sample_rate_hz_;
        row.cells.reserve(density.size());
        for (const double value : density) row.cells.push_back(to_cell(base::mean_square_to_dbfs(value)));
        keep(std::move(row));
        added = true;
    }
    waiting_.erase(waiting_.begin(), waiting_.begin() + static_cast<std::ptrdiff_t>(used));
    return added;
}

void SpectrogramMeter::add_gap() {
    frames_heard_ += waiting_.size();
    waiting_.clear();
}

void SpectrogramMeter::keep(SpectrogramRow row) {
    pending_.push_back(std::move(row));
    if (pending_.size() < rows_a_row_) return;
    auto merged = std::make_shared<const SpectrogramRow>(std::move(pending_.front()));
    for (std::size_t i = 1; i < pending_.size(); ++i) merged = louder(*merged, pending_[i]);
    pending_.clear();
    auto& rows = picture_.rows;
    rows.push_back(std::move(merged));
    if (rows.size() <= most_rows_) return;
    if (!thin_) {
        rows.erase(rows.begin());
        return;
    }
    std::vector<std::shared_ptr<const SpectrogramRow>> halved;
    for (std::size_t i = 0; i + 1 < rows.size(); i += 2) halved.push_back(louder(*rows[i], *rows[i + 1]));
    if (rows.size() % 2 != 0) halved.push_back(rows.back());
    rows = std::move(halved);
    rows_a_row_ *= 2;
    picture_.row_seconds *= 2.0;
}

}  // namespace tattletone::session
