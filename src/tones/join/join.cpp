#include "tones/join/join.h"
#include "tones/detect/fine_spectrum.h"

#include <algorithm>
#include <cmath>

#include "base/decibels.h"
#include "tones/judge/critical_band.h"
#include "tones/judge/mains.h"

namespace tattletone::tones {
namespace {

// From one segment to the next a crystal's line moves by parts in a million, a wandering one by
// this.
constexpr double steady_share = 5e-6;
constexpr double wandering_share = 0.01;
constexpr std::size_t most_history = 4000;
// A faint line this near to where bursts put a sideband is taken for one.
constexpr double faint_sidebands = 100.0, faint_sideband_hz = 0.15;

double reach_hz(const Tone& a, const Tone& b) {
    if (a.steady && b.steady) return 4.0 * std::hypot(a.hz_sd, b.hz_sd) + steady_share * a.hz + 0.02;
    return wandering_share * a.hz;
}

bool unworthy(const FaintLine& line, const std::vector<Tone>& tones, const RejectionLimits& limits) {
    if (on_mains_grid(tones, line.hz, line.hz_sd, limits) || in_mains_comb(tones, line.hz, line.hz_sd, limits))
        return true;
    // A faint line beside a tone is most likely that tone's own.
    return std::any_of(tones.begin(), tones.end(), [&](const Tone& tone) {
        const double apart_hz = std::abs(tone.hz - line.hz);
        if (tone.bursts_hz > 0.0 && apart_hz < faint_sidebands * tone.bursts_hz &&
            std::abs(std::remainder(apart_hz, tone.bursts_hz)) < faint_sideband_hz)
            return true;
        return apart_hz < limits.faint_apart_hz + 3.0 * tone.wander_hz;
    });
}

}  // namespace

void Joiner::add(Segment segment, double begin_seconds) {
    const double seconds = segment.seconds;
    faint_ = segments_ == 0 ? std::move(segment.faint) : std::vector<FaintLine>{};
    pulses_ = segments_ == 0 ? std::move(segment.pulses) : std::vector<PulseLine>{};
    if (segments_ == 0)
        fine_ = std::move(segment.fine);
    else if (fine_ && segment.fine)
        later_.push_back(std::move(segment.fine));
    if (segments_ == 0) {
        usable_ = segment.usable;
        bin_hz_ = segment.bin_hz;
        density_seconds_.assign(segment.density.size(), 0.0);
        floor_ = segment.floor;
    } else {
        usable_.low_hz = std::max(usable_.low_hz, segment.usable.low_hz);
        usable_.high_hz = std::min(usable_.high_hz, segment.usable.high_hz);
        // The quietest segment decides what could have been found.
        for (FloorPoint& point : floor_) {
            Tones other;
            other.floor = std::move(segment.floor);
            const FloorPoint here = floor_at(other, point.hz);
            segment.floor = std::move(other.floor);
            point.noise_dbfs_per_hz = std::min(point.noise_dbfs_per_hz, here.noise_dbfs_per_hz);
            point.steady_above_dbfs = std::min(point.steady_above_dbfs, here.steady_above_dbfs);
            point.wandering_above_dbfs = std::min(point.wandering_above_dbfs, here.wandering_above_dbfs);
        }
    }
    if (std::abs(segment.bin_hz - bin_hz_) < 1e-6 * bin_hz_)
        for (std::size_t k = 0; k < density_seconds_.size(); ++k) density_seconds_[k] += segment.density[k] * seconds;
    noise_db_.insert(noise_db_.end(), segment.noise_db.begin(), segment.noise_db.end());
    noise_hop_seconds_ = segment.noise_hop_seconds;
    for (std::size_t row = 0; row * SoundMark::bands < segment.mark_rows.size(); ++row) {
        const double middle =
            begin_seconds + static_cast<double>(row) * segment.noise_hop_seconds + 0.5 * segment.frame_seconds;
        if (middle > SoundMark::longest_seconds) break;
        mark_.seconds.push_back(static_cast<float>(middle));
        const auto from = segment.mark_rows.begin() + static_cast<std::ptrdiff_t>(row * SoundMark::bands);
        mark_.rows.insert(mark_.rows.end(), from, from + static_cast<std::ptrdiff_t>(SoundMark::bands));
    }
    crowded_.steady = crowded_.steady || segment.crowded.steady;
    crowded_.moving = crowded_.moving || segment.crowded.moving;
    crowded_.faint = segments_ == 0 && segment.crowded.faint;
    ++segments_;
    seconds_ += seconds;

    std::vector<bool> taken(tracks_.size(), false);
    for (Tone& tone : segment.tones) {
        std::size_t best = tracks_.size();
        double nearest = 1e9;
        for (std::size_t t = 0; t < taken.size(); ++t) {
            const double distance = std::abs(tracks_[t].last_hz - tone.start_hz);
            if (!taken[t] && distance < reach_hz(tracks_[t].tone, tone) && distance < nearest) {
                best = t;
                nearest = distance;
            }
        }
        if (best == tracks_.size()) {
            tracks_.emplace_back();
            tracks_.back().tone = tone;
            tracks_.back().tone.history.clear();
        } else {
            taken[best] = true;
        }
        Track& track = tracks_[best];
        Tone& joined = track.tone;
        const double there = tone.present * seconds;
        // A steady line has one frequency, known best from the longest segment; a moving one has a
        // mean.
        const double certainty = 1.0 / (tone.hz_sd * tone.hz_sd);
        const double weight = joined.steady && tone.steady ? certainty / (track.inverse_variance + certainty)
                                                           : there / (track.seconds_there + there);
        const double before_hz = joined.hz, before_tracking = joined.wander_hz;
        joined.hz += weight * (tone.hz - joined.hz);
        joined.wander_hz =
            std::sqrt((1.0 - weight) * (before_tracking * before_tracking + std::pow(before_hz - joined.hz, 2)) +
                      weight * (tone.wander_hz * tone.wander_hz + std::pow(tone.hz - joined.hz, 2)));
        joined.tone_to_noise_db += weight * (tone.tone_to_noise_db - joined.tone_to_noise_db);
        joined.steady = joined.steady && tone.steady;
        if (joined.bursts_hz <= 0.0 && tone.bursts_hz > 0.0) {
            joined.bursts_hz = tone.bursts_hz;
            joined.bursts_hz_sd = tone.bursts_hz_sd;
            joined.sidebands = tone.sidebands;
        }
        joined.end_hz = tone.end_hz;
        joined.evidence = std::max(joined.evidence, tone.evidence);
        if (tone.origin == Origin::board) joined.origin = Origin::board, joined.rejection.clear();
        track.inverse_variance += certainty;
        track.seconds_there += there;
        track.seconds_seen += seconds;
        track.mean_square_seconds += base::dbfs_to_mean_square(tone.level_dbfs) * seconds;
        track.last_hz = tone.end_hz;
        ++track.segments;
        for (TonePoint point : tone.history) {
            point.seconds += begin_seconds;
            joined.history.push_back(point);
        }
    }
}

Tones Joiner::finish() {
    Tones result;
    result.usable = usable_;
    result.floor = std::move(floor_);
    result.mark = std::make_shared<const SoundMark>(std::move(mark_));
    if (segments_ == 0) return result;
    // A threshold t on one of n segments costs n times the false alarms: ln n more on t, which is
    // 20 or so.
    const double lone_evidence_db = base::power_to_db(1.0 + std::log(static_cast<double>(segments_)) / 20.0);
    for (Track& track : tracks_) {
        if (track.segments == 1 && segments_ > 1 && track.tone.evidence < lone_evidence_db) continue;
        Tone tone = std::move(track.tone);
        tone.present = std::min(track.seconds_there / seconds_, 1.0);
        tone.level_dbfs = base::mean_square_to_dbfs(track.mean_square_seconds / seconds_);
        // What was told of one segment is no drift of the whole.
        if (track.segments > 1) {
            tone.drift_hz = tone.drift_hz_sd = 0.0;
            tone.hz_sd =
                std::max(1.0 / std::sqrt(track.inverse_variance),
                         tone.wander_hz / std::sqrt(static_cast<double>(track.segments)) * (tone.steady ? 1.0 : 0.0));
        }
        if (segments_ > 1 && tone.present < limits_.least_present_long && tone.origin == Origin::board) {
            tone.origin = Origin::unsure;
            tone.rejection = "there for a part of the recording only";
        }
        if (tone.history.size() > most_history) {
            const std::size_t step = tone.history.size() / most_history + 1;
            std::size_t kept = 0;
            for (std::size_t i = 0; i < tone.history.size(); i += step) tone.history[kept++] = tone.history[i];
            tone.history.resize(kept);
        }
        result.tones.push_back(std::move(tone));
    }
    std::sort(result.tones.begin(), result.tones.end(), [](const Tone& a, const Tone& b) { return a.hz < b.hz; });
    mark_mains(result.tones, limits_);
    if (!later_.empty()) {
        auto all = std::make_shared<FineSpectrum>(*fine_);
        all->later = std::move(later_);
        fine_ = std::move(all);
    }
    result.fine = std::move(fine_);
    result.pulses = std::move(pulses_);
    result.faint = std::move(faint_);
    std::erase_if(result.faint, [&](const FaintLine& line) { return unworthy(line, result.tones, limits_); });
    reject_mains_sidebands(result.tones, limits_);

    for (double& value : density_seconds_) value /= seconds_;
    const DensityIntegral density(density_seconds_, bin_hz_);
    std::vector<LinePower> lines;
    for (const Tone& tone : result.tones)
        lines.push_back({tone.hz, base::dbfs_to_mean_square(tone.level_dbfs), 3.0 * bin_hz_ + 2.0 * tone.wander_hz});
    for (std::size_t i = 0; i < lines.size(); ++i) {
        Tone& tone = result.tones[i];
        // A line that wanders through its own critical band was measured against the frames' noise.
        if (tone.steady) tone.tone_to_noise_db = tone_to_noise_db(density, lines, i);
        tone.prominence_db = prominence_ratio_db(density, tone.hz);
        tone.prominent = is_prominent(tone.hz, tone.tone_to_noise_db, tone.prominence_db);
    }
    return result;
}

}  // namespace tattletone::tones
