#include "session/live/live_picture.h"

#include <algorithm>
#include <utility>

#include "spectrum/transform.h"

namespace tattletone::session {
namespace {

constexpr double frame_choices_seconds[] = {0.34, 1.36, 5.44};  // fast sizes at the usual rates
constexpr double curve_least_seconds = 2.0;

}  // namespace

LivePicture::LivePicture(double sample_rate_hz)
    : sample_rate_hz_(sample_rate_hz),
      past_(sample_rate_hz, longest_past_seconds),
      rows_(sample_rate_hz, most_spectrogram_rows, false) {}

void LivePicture::add(std::span<const float> samples, bool gap_before) {
    past_.add(samples, gap_before);
    if (gap_before) {
        rows_.add_gap();
        if (!through_gaps_)
            capture_.clear();
        else if (!capture_.empty())
            capture_gaps_.push_back(capture_.size());
    }
    rows_changed_ = rows_.add(samples) || rows_changed_;
    if (wanted_frames_ == 0) return;
    const std::size_t room = wanted_frames_ - std::min(wanted_frames_, capture_.size());
    const auto part = samples.first(std::min(room, samples.size()));
    capture_.insert(capture_.end(), part.begin(), part.end());
    capture_end_ = past_.frames_heard() - (samples.size() - part.size());
}

std::span<const float> LivePicture::newest(double seconds) const {
    const auto samples = past_.samples();
    return samples.last(std::min(samples.size(), static_cast<std::size_t>(seconds * sample_rate_hz_)));
}

double LivePicture::frame_for(double bin_hz) const {
    const double there = static_cast<double>(past_.samples().size()) / sample_rate_hz_;
    double chosen = frame_choices_seconds[0];
    for (const double seconds : frame_choices_seconds)
        if (seconds <= there && 1.0 / chosen > bin_hz) chosen = seconds;
    return chosen;
}

bool LivePicture::curve_due(double bin_hz) const {
    const double frame = frame_for(bin_hz);
    if (frame != curve_seconds_) return true;
    const auto heard = static_cast<double>(past_.frames_heard() - curve_frames_);
    return heard > 0.0 && heard >= 0.1 * frame * sample_rate_hz_;
}

std::shared_ptr<const SpectrumCurve> LivePicture::curve(double bin_hz) {
    curve_seconds_ = frame_for(bin_hz);
    curve_frames_ = past_.frames_heard();
    const auto frame = spectrum::fast_size_at_most(static_cast<std::size_t>(curve_seconds_ * sample_rate_hz_));
    auto curve = std::make_shared<SpectrumCurve>(
        spectrum_of(newest(std::max(curve_least_seconds, 2.0 * curve_seconds_)), sample_rate_hz_, frame));
    if (curve->dbfs_per_hz.empty()) return nullptr;
    return curve;
}

std::shared_ptr<const Spectrogram> LivePicture::spectrogram() {
    if (rows_changed_) published_ = std::make_shared<const Spectrogram>(rows_.spectrogram());
    rows_changed_ = false;
    return published_;
}

sound::Recording LivePicture::recording_of(std::span<const float> samples, std::uint64_t end_frame) const {
    sound::Recording recording;
    recording.samples.assign(samples.begin(), samples.end());
    recording.sample_rate_hz = sample_rate_hz_;
    recording.codec = "capture";
    recording.first_frame = end_frame - samples.size();
    return recording;
}

sound::Recording LivePicture::past(double seconds) const {
    return recording_of(newest(seconds), past_.frames_heard());
}

void LivePicture::begin_capture(double seconds, bool through_gaps) {
    wanted_frames_ = static_cast<std::size_t>(seconds * sample_rate_hz_);
    through_gaps_ = through_gaps;
    capture_.clear();
    capture_gaps_.clear();
}

double LivePicture::captured_seconds() const {
    return static_cast<double>(capture_.size()) / sample_rate_hz_;
}

std::optional<sound::Recording> LivePicture::captured() {
    if (wanted_frames_ == 0 || capture_.size() < wanted_frames_) return std::nullopt;
    sound::Recording recording = recording_of(capture_, capture_end_);
    recording.gaps = std::move(capture_gaps_);
    wanted_frames_ = 0;
    capture_.clear();
    capture_gaps_.clear();
    return recording;
}

}  // namespace tattletone::session
