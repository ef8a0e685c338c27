#include "tones/stretch.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "decibels.h"
#include "spectrum/periodogram.h"
#include "spectrum/transform.h"
#include "tones/condition.h"
#include "tones/steady.h"
#include "tones/wander.h"

namespace tattletone {
namespace {

constexpr double steady_share = 0.5, long_share = 0.25, short_share = 0.25;
constexpr double long_frame_seconds = 0.68, short_frame_seconds = 0.15;
// Levels of one line as two rungs see it agree within this.
constexpr double same_line_ratio = 2.5;
// Below this a line that moves is a machine's or the ground's in nearly every room.
constexpr double rumble_below_hz = 500.0;
// More lines than this within so many Hz are a repeated sound's comb or the grain of music, not a
// board's.
constexpr double crowd_hz = 75.0;
constexpr int crowd = 5;
constexpr double comb_reach_hz = 700.0;
constexpr double comb_spacing_hz = 25.0;
constexpr int comb_pairs = 10;
constexpr double clearly_over_comb_db = 8.0;
// Every room has machines that hum below.
constexpr double hum_below_hz = 150.0;
constexpr double skirt_bins = 12.0;
constexpr double floor_points_per_octave = 24.0;

double ratio_db(double statistic, double threshold) {
    return power_to_db(statistic / threshold);
}

Tone from_steady(const SteadyLine& line, double seconds, double threshold) {
    Tone tone;
    tone.hz = line.hz;
    tone.hz_sd = line.hz_sd;
    tone.level_dbfs = mean_square_to_dbfs(line.mean_square);
    tone.present = line.present;
    tone.start_hz = line.start_hz;
    tone.end_hz = line.end_hz;
    tone.evidence = ratio_db(line.signal_to_noise, threshold);
    const double count = static_cast<double>(line.part_mean_square.size());
    for (std::size_t m = 0; m < line.part_mean_square.size(); ++m) {
        const double at = (static_cast<double>(m) + 0.5) / count;
        tone.history.push_back({at * seconds, line.start_hz + at * (line.end_hz - line.start_hz),
                                mean_square_to_dbfs(line.part_mean_square[m])});
    }
    return tone;
}

Tone from_wander(const WanderLine& line) {
    Tone tone;
    tone.hz = line.mean_hz;
    tone.hz_sd = line.hz_sd;
    tone.level_dbfs = mean_square_to_dbfs(line.level_mean_square * line.present);
    tone.tone_to_noise_db = power_to_db(line.level_mean_square /
                                        (line.noise_density * critical_bandwidth_hz(line.mean_hz)));
    tone.present = line.present;
    tone.start_hz = line.start_hz;
    tone.end_hz = line.end_hz;
    tone.wander_hz = line.wander_hz;
    tone.steady = false;
    tone.evidence = ratio_db(line.score, line.threshold);
    for (std::size_t m = 0; m < line.hz.size(); ++m)
        tone.history.push_back(
            {line.seconds[m], line.hz[m], mean_square_to_dbfs(line.mean_square[m])});
    return tone;
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

// A path joins the tones found so far, unless it is one of them or the skirt of one; fragments of
// it that a finer rung took for lines of their own give way.
void add_path(std::vector<Tone>& tones, Tone path, double bin_hz, double skirt_hz) {
    const double level = dbfs_to_mean_square(path.level_dbfs);
    double fragments = 0.0;
    std::vector<std::size_t> met;
    for (std::size_t i = 0; i < tones.size(); ++i) {
        const double other = dbfs_to_mean_square(tones[i].level_dbfs);
        const double near_hz = tones[i].steady || other < level ? 2.5 * bin_hz : skirt_hz;
        if (share_together(path, tones[i], near_hz) < 0.5) continue;
        // Of two paths of one line, the one from longer frames is the sharper, if it holds the
        // power.
        const double enough = tones[i].steady ? same_line_ratio : 1.6;
        if (other * (tones[i].steady ? enough : 1.0) > level * (tones[i].steady ? 1.0 : enough))
            return;
        fragments += tones[i].steady ? other : 0.0;
        met.push_back(i);
    }
    if (fragments * same_line_ratio > level) return;
    // Where it turns, a wandering line leaves ripples in the whole stretch's spectrum.
    const auto [low, high] =
        std::minmax_element(path.history.begin(), path.history.end(),
                            [](const TonePoint& a, const TonePoint& b) { return a.hz < b.hz; });
    for (std::size_t i = 0; i < tones.size(); ++i)
        if (tones[i].steady && tones[i].hz > low->hz - 2.0 * bin_hz &&
            tones[i].hz < high->hz + 2.0 * bin_hz &&
            dbfs_to_mean_square(tones[i].level_dbfs) * same_line_ratio < level &&
            std::find(met.begin(), met.end(), i) == met.end())
            met.push_back(i);
    std::sort(met.begin(), met.end());
    for (auto i = met.rbegin(); i != met.rend(); ++i)
        tones.erase(tones.begin() + static_cast<std::ptrdiff_t>(*i));
    tones.push_back(std::move(path));
}

double correlation(const std::vector<double>& a, const std::vector<double>& b) {
    const double n = static_cast<double>(a.size());
    const double mean_a = std::accumulate(a.begin(), a.end(), 0.0) / n;
    const double mean_b = std::accumulate(b.begin(), b.end(), 0.0) / n;
    double ab = 0.0, aa = 0.0, bb = 0.0;
    for (std::size_t i = 0; i < a.size(); ++i) {
        ab += (a[i] - mean_a) * (b[i] - mean_b);
        aa += (a[i] - mean_a) * (a[i] - mean_a);
        bb += (b[i] - mean_b) * (b[i] - mean_b);
    }
    return aa > 0.0 && bb > 0.0 ? ab / std::sqrt(aa * bb) : 0.0;
}

double spread(const std::vector<double>& values) {
    const double n = static_cast<double>(values.size());
    const double mean = std::accumulate(values.begin(), values.end(), 0.0) / n;
    double squares = 0.0;
    for (const double v : values) squares += (v - mean) * (v - mean);
    return std::sqrt(squares / n);
}

// Mean square of each frame in the band.
std::vector<double> frame_levels(const Frames& frames, Band band) {
    const auto first = static_cast<std::size_t>(band.low_hz / frames.bin_hz);
    const auto last = std::min(static_cast<std::size_t>(band.high_hz / frames.bin_hz), frames.bins);
    std::vector<double> levels(frames.count);
    for (std::size_t m = 0; m < frames.count; ++m) {
        const auto row = frames.row(m).subspan(first, last - first);
        levels[m] = std::accumulate(row.begin(), row.end(), 0.0) * frames.bin_hz;
    }
    return levels;
}

// Doubts, each a gate of its own.

void doubt_followers(std::vector<Tone>& tones, const Frames& frames,
                     const std::vector<double>& frame_level) {
    if (frames.count < 6) return;
    for (Tone& tone : tones) {
        std::vector<double> own, room;
        for (const TonePoint& point : tone.history) {
            const double at = std::clamp(point.seconds / frames.hop_seconds - 1.0, 0.0,
                                         static_cast<double>(frames.count - 1));
            const double level = frame_level[static_cast<std::size_t>(at)];
            own.push_back(std::max(point.level_dbfs, tone.level_dbfs - 20.0));
            room.push_back(mean_square_to_dbfs(
                std::max(level - dbfs_to_mean_square(point.level_dbfs), 1e-12)));
        }
        if (spread(room) > 3.0 && spread(own) > 3.0 && correlation(own, room) > 0.75)
            tone.origin = Origin::unsure,
            tone.doubt = "its level follows that of the room's sounds";
    }
}

// A sound that repeats (a tick, a loop) makes a fine comb over its whole band; lines that stand
// well over the comb's teeth are something else.
bool in_comb(const std::vector<Tone>& tones, std::size_t which) {
    int close_pairs = 0;
    std::vector<double> evidence;
    for (std::size_t i = 1; i < tones.size(); ++i) {
        if (std::abs(tones[i].hz - tones[which].hz) > comb_reach_hz) continue;
        evidence.push_back(tones[i].evidence);
        close_pairs += tones[i].hz - tones[i - 1].hz < comb_spacing_hz ? 1 : 0;
    }
    if (close_pairs < comb_pairs) return false;
    const auto middle = evidence.begin() + static_cast<std::ptrdiff_t>(evidence.size() / 2);
    std::nth_element(evidence.begin(), middle, evidence.end());
    return tones[which].evidence < *middle + clearly_over_comb_db;
}

void doubt_crowds(std::vector<Tone>& tones) {
    for (std::size_t i = 0; i < tones.size(); ++i) {
        const auto near = std::count_if(tones.begin(), tones.end(), [&](const Tone& other) {
            return std::abs(other.hz - tones[i].hz) < crowd_hz;
        });
        if (near <= crowd && !in_comb(tones, i)) continue;
        tones[i].origin = Origin::unsure;
        tones[i].doubt = "one of a dense cluster of lines";
    }
}

void doubt_rumble(std::vector<Tone>& tones) {
    for (Tone& tone : tones)
        if (tone.steady && tone.hz < hum_below_hz)
            tone.origin = Origin::unsure,
            tone.doubt = "so low that any machine nearby may hum there";
        else if (!tone.steady && tone.hz < rumble_below_hz)
            tone.origin = Origin::unsure, tone.doubt = "a moving line among rumble and engines";
}

void doubt_passing(std::vector<Tone>& tones) {
    for (Tone& tone : tones)
        if (tone.present < 0.4)
            tone.origin = Origin::unsure, tone.doubt = "there for a part of the recording only";
}

// Voices and engines: several moving lines at one low spacing.
void doubt_combs(std::vector<Tone>& tones) {
    for (Tone& tone : tones) {
        if (tone.steady || tone.hz > 6000.0) continue;
        int moving = 0;
        for (const Tone& other : tones)
            moving += !other.steady && &other != &tone && other.hz < 8000.0 &&
                              std::abs(other.hz - tone.hz) < 1500.0
                          ? 1
                          : 0;
        if (moving >= 2)
            tone.origin = Origin::unsure,
            tone.doubt = "one of several moving lines, as of a voice or an engine";
    }
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
        point.noise_dbfs_per_hz = mean_square_to_dbfs(density);
        point.steady_above_dbfs = mean_square_to_dbfs(2.0 * steady.threshold * bin_power);
        point.wandering_above_dbfs = mean_square_to_dbfs(wander_power * density);
        points.push_back(point);
        if (hz >= band.high_hz) break;
    }
    return points;
}

}  // namespace

Stretch analyse_stretch(std::span<const float> samples, double sample_rate_hz,
                        double false_alarm_rate) {
    Stretch stretch;
    stretch.seconds = static_cast<double>(samples.size()) / sample_rate_hz;
    const auto frames_of = [&](double seconds) {
        const auto wanted = static_cast<std::size_t>(sample_rate_hz * seconds);
        return frame_spectra(samples, sample_rate_hz,
                             fast_size_at_most(std::min(wanted, samples.size())));
    };
    const Frames slow = frames_of(long_frame_seconds), fast = frames_of(short_frame_seconds);
    stretch.bin_hz = slow.bin_hz;
    stretch.density = mean_density(slow);
    stretch.usable = usable_band(fast);

    const StretchSpectrum spectrum(samples, sample_rate_hz);
    const SteadyScan steady =
        scan_steady(spectrum, stretch.usable, steady_share * false_alarm_rate);
    std::vector<KnownLine> known;
    for (const SteadyLine& line : steady.lines) {
        stretch.tones.push_back(from_steady(line, stretch.seconds, steady.threshold));
        known.push_back({line.hz, line.mean_square});
    }

    const std::vector<double> fast_density = mean_density(fast);
    const WanderScan fast_scan = scan_wander(fast, fast_density, stretch.usable, known,
                                             {3, short_share * false_alarm_rate, 10});
    const WanderScan slow_scan = scan_wander(slow, stretch.density, stretch.usable, known,
                                             {2, long_share * false_alarm_rate, 10});
    const double skirt_hz = skirt_bins * fast.bin_hz;
    for (const auto& [scan, frames] : {std::pair{&fast_scan, &fast}, std::pair{&slow_scan, &slow}})
        for (const WanderLine& line : scan->lines)
            if (is_line(line, frames->bin_hz))
                add_path(stretch.tones, from_wander(line), frames->bin_hz, skirt_hz);
    std::sort(stretch.tones.begin(), stretch.tones.end(),
              [](const Tone& a, const Tone& b) { return a.hz < b.hz; });

    doubt_followers(stretch.tones, fast, frame_levels(fast, stretch.usable));
    doubt_passing(stretch.tones);
    doubt_combs(stretch.tones);
    doubt_rumble(stretch.tones);
    doubt_crowds(stretch.tones);
    // A path's score is capped whitened power over three bins with mean 2: what is over that is the
    // line's.
    const double wander_power = 0.75 * std::max(fast_scan.threshold - 2.0, 1.0) * fast.bin_hz;
    stretch.floor = floor_curve(steady, wander_power, stretch.usable);
    return stretch;
}

}  // namespace tattletone
