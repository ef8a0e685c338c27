#include "tones/segment.h"

#include <algorithm>
#include <cmath>
#include <future>
#include <numeric>

#include "base/decibels.h"
#include "spectrum/periodogram.h"
#include "spectrum/transform.h"
#include "tones/detect/condition.h"
#include "tones/detect/faint.h"
#include "tones/detect/fine_spectrum.h"
#include "tones/detect/line_tracker.h"
#include "tones/detect/quiet_moments.h"
#include "tones/detect/steady.h"
#include "tones/join/sound_mark.h"
#include "tones/judge/pulses.h"
#include "tones/judge/rejections.h"

namespace tattletone::tones {
namespace {

constexpr double steady_in_segment_share = 0.4, quiet_moments_share = 0.1, long_share = 0.25, short_share = 0.25;
constexpr double long_frame_seconds = 0.68, short_frame_seconds = 0.15;
// Levels of one line as two rungs see it agree within this.
constexpr double pieces_reach_hz = 4.0;
constexpr std::size_t fewest_pieces = 3;
constexpr double same_line_ratio = 2.5, piece_ratio = 1.6;
constexpr double whole_from = 0.9;
// A line that goes farther in a segment is one that moves.
constexpr double widest_steady_bins = 2.5;
constexpr double skirt_bins = 12.0;
constexpr double floor_points_per_octave = 24.0;

double ratio_db(double statistic, double threshold) {
    return base::power_to_db(statistic / threshold);
}

Tone from_steady(const SteadyLine& line, double seconds, double threshold, const RejectionLimits& limits) {
    Tone tone;
    tone.hz = line.hz;
    tone.hz_sd = line.hz_sd;
    tone.level_dbfs = base::mean_square_to_dbfs(line.mean_square);
    tone.tone_to_noise_db = base::power_to_db(line.signal_to_noise / seconds / critical_bandwidth_hz(line.hz));
    tone.present = line.present;
    tone.start_hz = line.start_hz;
    tone.end_hz = line.end_hz;
    tone.drift_hz = line.drift_hz;
    tone.drift_hz_sd = line.drift_hz_sd;
    if (seconds >= shortest_sweep_seconds && std::abs(line.drift_hz) * seconds > widest_steady_bins &&
        std::abs(line.drift_hz) > 5.0 * line.drift_hz_sd) {
        tone.steady = false;
        tone.wander_hz = std::abs(line.drift_hz) / std::sqrt(12.0);
    }
    tone.evidence = ratio_db(line.signal_to_noise, threshold);
    if (line.unsteadiness > limits.most_unsteadiness) {
        tone.origin = Origin::unsure;
        tone.rejection = "its level comes and goes as that of notes does";
    }
    const double count = static_cast<double>(line.part_mean_square.size());
    for (std::size_t m = 0; m < line.part_mean_square.size(); ++m) {
        const double at = (static_cast<double>(m) + 0.5) / count;
        tone.history.push_back({at * seconds, line.start_hz + at * (line.end_hz - line.start_hz),
                                base::mean_square_to_dbfs(line.part_mean_square[m])});
    }
    return tone;
}

Tone from_tracked(const TrackedLine& line) {
    Tone tone;
    tone.hz = line.mean_hz;
    tone.hz_sd = line.hz_sd;
    tone.level_dbfs = base::mean_square_to_dbfs(line.level_mean_square * line.present);
    tone.tone_to_noise_db =
        base::power_to_db(line.level_mean_square / (line.noise_density * critical_bandwidth_hz(line.mean_hz)));
    tone.present = line.present;
    tone.start_hz = line.start_hz;
    tone.end_hz = line.end_hz;
    tone.wander_hz = line.wander_hz;
    tone.steady = false;
    tone.evidence = ratio_db(line.score, line.threshold);
    for (std::size_t m = 0; m < line.hz.size(); ++m)
        tone.history.push_back({line.seconds[m], line.hz[m], base::mean_square_to_dbfs(line.mean_square[m])});
    return tone;
}

/// Each line that sounds in bursts with its sidebands as one tone, which comes and goes for that reason alone.
std::vector<Tone> joined(std::vector<Tone> steady, const std::vector<BurstGroup>& bursts) {
    std::vector<char> is_sideband(steady.size(), 0);
    for (const BurstGroup& group : bursts) {
        Tone& tone = steady[group.carrier];
        tone.bursts_hz = group.pace_hz;
        tone.bursts_hz_sd = group.pace_hz_sd;
        tone.origin = Origin::board;
        tone.rejection.clear();
        for (const std::size_t i : group.sidebands) {
            is_sideband[i] = 1;
            tone.sidebands.push_back(std::move(steady[i]));
            tone.sidebands.back().history.clear();
        }
    }
    std::vector<Tone> tones;
    for (std::size_t i = 0; i < steady.size(); ++i)
        if (!is_sideband[i]) tones.push_back(std::move(steady[i]));
    return tones;
}

double path_hz_at(const Tone& tone, double seconds) {
    const auto after = std::find_if(tone.history.begin(), tone.history.end(),
                                    [&](const TonePoint& p) { return p.seconds >= seconds; });
    if (after == tone.history.begin()) return tone.history.front().hz;
    if (after == tone.history.end()) return tone.history.back().hz;
    const TonePoint& before = *(after - 1);
    const double part = (seconds - before.seconds) / (after->seconds - before.seconds);
    return before.hz + part * (after->hz - before.hz);
}

// Share of the time in which two paths are within `near_hz` of each other.
double share_together(const Tone& a, const Tone& b, double near_hz) {
    double together = 0.0;
    for (const TonePoint& point : a.history)
        if (std::abs(path_hz_at(b, point.seconds) - point.hz) < near_hz) together += 1.0;
    return together / static_cast<double>(a.history.size());
}

std::size_t pieces_near(const std::vector<Tone>& tones, const Tone& path, double near_hz) {
    return static_cast<std::size_t>(std::count_if(tones.begin(), tones.end(), [&](const Tone& tone) {
        return tone.steady && share_together(path, tone, near_hz) >= 0.5;
    }));
}

// Fitted to the whole segment: sharper than any path.
bool fitted_whole(const Tone& tone) {
    return tone.steady || tone.drift_hz_sd > 0.0;
}

// How many times its power a path over such a line holds if the two are one line that moves. One
// that is there for a part may be where the other stands still; one that sweeps may go on beyond
// the sweep.
double yields_at(const Tone& fitted) {
    return fitted.present < whole_from || !fitted.steady ? piece_ratio : same_line_ratio;
}

// A path of frames that are shorter than the time between bursts follows the line and its sidebands as one.
bool along_bursts(const Tone& tone, const Tone& path, double level) {
    if (tone.sidebands.empty()) return false;
    double all = base::dbfs_to_mean_square(tone.level_dbfs);
    for (const Tone& sideband : tone.sidebands) all += base::dbfs_to_mean_square(sideband.level_dbfs);
    return level < same_line_ratio * all && path.hz > tone.sidebands.front().hz - 2.0 * tone.bursts_hz &&
           path.hz < tone.sidebands.back().hz + 2.0 * tone.bursts_hz;
}

// A path joins the tones found so far, unless it is one of them or the skirt of one; fragments of
// it that a finer rung took for lines of their own give way.
void add_path(std::vector<Tone>& tones, Tone path, double bin_hz, double skirt_hz) {
    const double level = base::dbfs_to_mean_square(path.level_dbfs);
    if (std::any_of(tones.begin(), tones.end(), [&](const Tone& tone) { return along_bursts(tone, path, level); }))
        return;
    double fragments = 0.0;
    std::vector<std::size_t> met;
    for (std::size_t i = 0; i < tones.size(); ++i) {
        const double other = base::dbfs_to_mean_square(tones[i].level_dbfs);
        const bool fitted = fitted_whole(tones[i]);
        const double near_hz = fitted || other < level ? 2.5 * bin_hz : skirt_hz;
        if (share_together(path, tones[i], near_hz) < 0.5) continue;
        // Of two paths of one line, the one from longer frames is the sharper, if it holds the
        // power.
        const double enough = fitted ? yields_at(tones[i]) : 1.12;
        if (other * (fitted ? enough : 1.0) > level * (fitted ? 1.0 : enough) &&
            pieces_near(tones, path, near_hz) < fewest_pieces)
            return;
        fragments += fitted ? other * yields_at(tones[i]) : 0.0;
        met.push_back(i);
    }
    // One steady line may hold the power; several, that take turns, are one moving line in pieces.
    if (met.size() < fewest_pieces && fragments > level) return;
    // Where it turns, a wandering line leaves ripples in the whole segment's spectrum.
    const auto [low, high] = std::minmax_element(path.history.begin(), path.history.end(),
                                                 [](const TonePoint& a, const TonePoint& b) { return a.hz < b.hz; });
    for (std::size_t i = 0; i < tones.size(); ++i)
        if (tones[i].steady && tones[i].hz > low->hz - 2.0 * bin_hz && tones[i].hz < high->hz + 2.0 * bin_hz &&
            base::dbfs_to_mean_square(tones[i].level_dbfs) * same_line_ratio < level &&
            std::find(met.begin(), met.end(), i) == met.end())
            met.push_back(i);
    std::sort(met.begin(), met.end());
    for (auto i = met.rbegin(); i != met.rend(); ++i) tones.erase(tones.begin() + static_cast<std::ptrdiff_t>(*i));
    tones.push_back(std::move(path));
}

std::vector<FloorPoint> floor_curve(const SteadyScan& steady, double wander_power, Band band) {
    std::vector<FloorPoint> points;
    const double step = std::exp2(1.0 / floor_points_per_octave);
    for (double hz = band.low_hz;; hz = std::min(hz * step, band.high_hz)) {
        const double bin_power = steady.floor.at(hz / steady.bin_hz);
        FloorPoint point;
        point.hz = hz;
        // Mean power of a bin |X/N|² is half the one-sided density times a bin's width, twice over.
        const double density = 2.0 * bin_power / steady.bin_hz;
        point.noise_dbfs_per_hz = base::mean_square_to_dbfs(density);
        point.steady_above_dbfs = base::mean_square_to_dbfs(2.0 * steady.threshold * bin_power);
        point.wandering_above_dbfs = base::mean_square_to_dbfs(wander_power * density);
        points.push_back(point);
        if (hz >= band.high_hz) break;
    }
    return points;
}

}  // namespace

SegmentLines lines_of_segment(std::span<const float> samples, double sample_rate_hz, double false_alarm_rate,
                              bool two_threads, Kept kept, const RejectionLimits& limits) {
    SegmentLines lines;
    Segment& segment = lines.segment;
    segment.seconds = static_cast<double>(samples.size()) / sample_rate_hz;
    const auto frames_of = [&](double seconds) {
        const auto wanted = static_cast<std::size_t>(sample_rate_hz * seconds);
        return spectrum::frame_spectra(samples, sample_rate_hz,
                                       spectrum::fast_size_at_most(std::min(wanted, samples.size())));
    };
    const auto policy = two_threads ? std::launch::async : std::launch::deferred;
    spectrum::Frames slow;
    std::vector<NoiseFloor> slow_floors;
    std::future<void> slow_frames = std::async(policy, [&] {
        slow = frames_of(long_frame_seconds);
        slow_floors = frame_floors(slow);
        segment.density = spectrum::mean_density(slow);
    });

    const spectrum::Frames fast = frames_of(short_frame_seconds);
    const std::vector<NoiseFloor> fast_floors = frame_floors(fast);
    segment.usable = usable_band(fast, limits);
    segment.frame_seconds = fast.frame_seconds;
    segment.mark_rows.reserve(fast.count * SoundMark::bands);
    for (std::size_t i = 0; i < fast.count; ++i) add_mark_row(fast.row(i), fast.bin_hz, segment.mark_rows);
    const SegmentSpectrum spectrum(samples, sample_rate_hz);
    SteadyScan steady = scan_steady(spectrum, segment.usable, steady_in_segment_share * false_alarm_rate, limits);
    if (kept == Kept::faint) segment.pulses = pulse_lines(spectrum, segment.usable);
    if (kept != Kept::lines)
        segment.fine =
            std::make_shared<FineSpectrum>(fine_spectrum(spectrum, steady.floor, segment.usable, steady.fits));
    if (kept == Kept::faint)
        segment.faint = faint_lines(spectrum, steady.floor, segment.usable, steady.threshold, steady.fits,
                                    steady.event_hz, segment.crowded.faint, limits);
    segment.crowded.steady = steady.crowded;
    lines.bursts = find_bursts(steady.lines, segment.seconds);
    std::vector<char> in_bursts(steady.lines.size(), 0);
    for (const BurstGroup& group : lines.bursts) {
        in_bursts[group.carrier] = 1;
        for (const std::size_t i : group.sidebands) in_bursts[i] = 1;
    }
    std::vector<KnownLine> known;
    for (const SteadyLine& line : steady.lines) {
        // Several within a few hertz are more likely one line that moves: the frames shall see it.
        const auto near = std::count_if(steady.lines.begin(), steady.lines.end(), [&](const SteadyLine& other) {
            return std::abs(other.hz - line.hz) < pieces_reach_hz;
        });
        if (near < static_cast<std::ptrdiff_t>(fewest_pieces) ||
            in_bursts[static_cast<std::size_t>(&line - steady.lines.data())])
            known.push_back({line.hz, line.mean_square});
    }

    lines.quiet = lines_in_quiet_moments(
        spectrum, steady.fits, {fast_floors, fast.bin_hz, fast.hop_seconds, 0.5 * fast.frame_seconds}, segment.usable,
        quiet_moments_share * false_alarm_rate, segment.crowded.steady, limits);
    for (const SteadyLine& line : lines.quiet) known.push_back({line.hz, line.mean_square});

    slow_frames.get();
    segment.bin_hz = slow.bin_hz;
    std::future<TrackedLines> slow_look = std::async(policy, [&] {
        return track_lines(slow, slow_floors, segment.density, segment.usable, known,
                           {2, long_share * false_alarm_rate, 10, segment.seconds});
    });
    TrackedLines fast_scan = track_lines(fast, fast_floors, spectrum::mean_density(fast), segment.usable, known,
                                         {3, short_share * false_alarm_rate, 10, segment.seconds});
    TrackedLines slow_scan = slow_look.get();
    segment.crowded.moving = fast_scan.crowded || slow_scan.crowded;
    lines.short_paths = std::move(fast_scan.lines);
    lines.long_paths = std::move(slow_scan.lines);
    lines.short_bin_hz = fast.bin_hz;
    lines.long_bin_hz = slow.bin_hz;

    lines.noise = noise_levels(fast_floors, fast.bin_hz, segment.usable);
    for (const double level : lines.noise)
        segment.noise_db.push_back(static_cast<float>(base::mean_square_to_dbfs(level)));
    segment.noise_hop_seconds = fast.hop_seconds;
    // A path's score is capped whitened power over three bins with mean 2: what is over that is the
    // line's.
    const double wander_power = 0.75 * std::max(fast_scan.threshold - 2.0, 1.0) * fast.bin_hz;
    segment.floor = floor_curve(steady, wander_power, segment.usable);
    lines.steady = std::move(steady.lines);
    lines.event_hz = std::move(steady.event_hz);
    lines.steady_threshold = steady.threshold;
    return lines;
}

Segment judged(SegmentLines lines, const RejectionLimits& limits) {
    Segment segment = std::move(lines.segment);
    std::vector<Tone> steady;
    for (const SteadyLine& line : lines.steady)
        steady.push_back(from_steady(line, segment.seconds, lines.steady_threshold, limits));
    segment.tones = joined(std::move(steady), lines.bursts);
    for (const SteadyLine& line : lines.quiet)
        segment.tones.push_back(from_steady(line, segment.seconds, lines.steady_threshold, limits));
    const double skirt_hz = skirt_bins * lines.short_bin_hz;
    const auto add_paths = [&](const std::vector<TrackedLine>& paths, double bin_hz) {
        for (const TrackedLine& line : paths)
            if (is_line(line, bin_hz, limits)) add_path(segment.tones, from_tracked(line), bin_hz, skirt_hz);
    };
    add_paths(lines.short_paths, lines.short_bin_hz);
    add_paths(lines.long_paths, lines.long_bin_hz);
    std::sort(segment.tones.begin(), segment.tones.end(), [](const Tone& a, const Tone& b) { return a.hz < b.hz; });
    rejection(segment.tones, segment.noise_hop_seconds, lines.noise, lines.event_hz, limits);
    return segment;
}

}  // namespace tattletone::tones
