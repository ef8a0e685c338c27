#include "tones/judge/rejections.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "base/decibels.h"

namespace tattletone::tones {
namespace {

// Below this a line that moves is a machine's or the ground's in nearly every room.
constexpr double rumble_below_hz = 500.0;
// More lines than this within so many Hz are a repeated sound's comb or the grain of music, not a
// board's.
constexpr double crowd_hz = 75.0;
constexpr int crowd = 5;
constexpr double followed_from_db = 9.0;
// Lines in pairs about a line so much stronger and so near are its sidebands.
constexpr double sideband_reach_hz = 400.0;
constexpr double sideband_below_db = 20.0;
constexpr double note_reach = 1.2;
constexpr std::ptrdiff_t fewest_notes = 3;
constexpr double own_pieces_hz = 10.0;
constexpr double steady_over_notes_db = 13.0, moving_over_notes_db = 4.2;
constexpr double comb_reach_hz = 700.0;
constexpr double comb_spacing_hz = 25.0;
constexpr int comb_pairs = 10;
constexpr double clearly_over_comb_db = 8.0;
// Every room has machines that hum below.
constexpr double hum_below_hz = 150.0;

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

// Not as steady as a crystal: its phase wanders by a good part of a turn, or its path moves.
bool moves(const Tone& tone, double seconds) {
    return !tone.steady || tone.hz_sd * seconds > 0.15;
}

// Rejections, each a gate of its own.

void reject_followers(std::vector<Tone>& tones, const spectrum::Frames& frames,
                      const std::vector<double>& noise_level) {
    if (frames.count < 6) return;
    for (Tone& tone : tones) {
        // A weak steady line's level in one part is mostly noise, which does follow the room.
        if (tone.steady && tone.evidence < followed_from_db) continue;
        std::vector<double> own, room;
        for (const TonePoint& point : tone.history) {
            const double at =
                std::clamp(point.seconds / frames.hop_seconds - 1.0, 0.0, static_cast<double>(frames.count - 1));
            own.push_back(std::max(point.level_dbfs, tone.level_dbfs - 20.0));
            room.push_back(base::mean_square_to_dbfs(std::max(noise_level[static_cast<std::size_t>(at)], 1e-12)));
        }
        if (spread(room) > 3.0 && spread(own) > 3.0 && correlation(own, room) > 0.75)
            tone.origin = Origin::unsure, tone.rejection = "its level follows that of the room's sounds";
    }
}

// Notes and cries leave lines at their pitch. Where they do, only a line that stands well over its
// threshold is believed to be something else.
void reject_notes(std::vector<Tone>& tones, std::span<const double> event_hz) {
    for (Tone& tone : tones) {
        const auto low = std::lower_bound(event_hz.begin(), event_hz.end(), tone.hz / note_reach);
        const auto high = std::upper_bound(event_hz.begin(), event_hz.end(), tone.hz * note_reach);
        // Where a moving line lingers, the whole segment shows pieces of it that are no notes.
        const double own_hz = tone.steady ? 0.0 : own_pieces_hz + 3.0 * tone.wander_hz;
        const auto notes = std::count_if(low, high, [&](double hz) { return std::abs(hz - tone.hz) >= own_hz; });
        if (notes < fewest_notes || tone.evidence > (tone.steady ? steady_over_notes_db : moving_over_notes_db))
            continue;
        tone.origin = Origin::unsure;
        tone.rejection = "weak, among lines that notes or voices make";
    }
}

void reject_sidebands(std::vector<Tone>& tones) {
    for (const Tone& carrier : tones) {
        for (Tone& tone : tones) {
            const double distance = tone.hz - carrier.hz;
            if (std::abs(distance) > sideband_reach_hz || tone.level_dbfs > carrier.level_dbfs - sideband_below_db)
                continue;
            const bool paired = std::any_of(tones.begin(), tones.end(), [&](const Tone& twin) {
                const double sd = std::hypot(twin.hz_sd, tone.hz_sd, 2.0 * carrier.hz_sd);
                return &twin != &tone && twin.level_dbfs < carrier.level_dbfs - sideband_below_db &&
                       std::abs(twin.hz - carrier.hz + distance) < 4.0 * sd + 0.05;
            });
            if (!paired) continue;
            tone.origin = Origin::unsure;
            tone.rejection = "one of a pair of sidebands of a much stronger line";
        }
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

void reject_crowds(std::vector<Tone>& tones) {
    for (std::size_t i = 0; i < tones.size(); ++i) {
        const auto near = std::count_if(tones.begin(), tones.end(),
                                        [&](const Tone& other) { return std::abs(other.hz - tones[i].hz) < crowd_hz; });
        if (near <= crowd && !in_comb(tones, i)) continue;
        tones[i].origin = Origin::unsure;
        tones[i].rejection = "one of a dense cluster of lines";
    }
}

void reject_rumble(std::vector<Tone>& tones, double seconds) {
    for (Tone& tone : tones) {
        if (tone.steady && tone.hz < hum_below_hz) {
            tone.origin = Origin::unsure;
            tone.rejection = "so low that any machine nearby may hum there";
        } else if (tone.hz < rumble_below_hz && moves(tone, seconds)) {
            tone.origin = Origin::unsure;
            tone.rejection = "a moving line among rumble, fans and engines";
        }
    }
}

void reject_passing(std::vector<Tone>& tones) {
    for (Tone& tone : tones)
        if (tone.present < 0.4) tone.origin = Origin::unsure, tone.rejection = "there for a part of the recording only";
}

// Whether a tone is a multiple of something low that moves, or of which no lasting line was left.
bool multiple_of_low(const std::vector<Tone>& tones, std::size_t which, double seconds,
                     std::span<const double> event_hz) {
    const Tone& tone = tones[which];
    const auto multiple = [&](double base_hz, double base_wander_hz) {
        if (base_hz >= rumble_below_hz) return false;
        const double order = std::round(tone.hz / base_hz);
        const double slack = 2.0 * (tone.wander_hz + order * base_wander_hz) + 0.005 * tone.hz;
        return order >= 2.0 && order < 12.0 && std::abs(tone.hz - order * base_hz) < slack;
    };
    for (std::size_t i = 0; i < tones.size(); ++i) {
        const bool doubtful = moves(tones[i], seconds) || tones[i].origin == Origin::unsure;
        if (i != which && doubtful && multiple(tones[i].hz, tones[i].wander_hz)) return true;
    }
    return std::any_of(event_hz.begin(), event_hz.end(), [&](double hz) { return multiple(hz, 0.0); });
}

// Voices, engines and fans: moving lines at one low spacing, or multiples of a low one that moves.
void reject_families(std::vector<Tone>& tones, double seconds, std::span<const double> event_hz) {
    for (std::size_t i = 0; i < tones.size(); ++i) {
        Tone& tone = tones[i];
        if (tone.hz > 6000.0 || !moves(tone, seconds)) continue;
        int near = 0;
        for (const Tone& other : tones)
            near += &other != &tone && moves(other, seconds) && std::abs(other.hz - tone.hz) < 900.0 ? 1 : 0;
        if (near < 2 && !multiple_of_low(tones, i, seconds, event_hz)) continue;
        tone.origin = Origin::unsure;
        tone.rejection = "one of several moving lines, as of a voice, a fan or an engine";
    }
}

}  // namespace

std::vector<double> noise_levels(std::span<const NoiseFloor> floors, double bin_hz, Band band) {
    constexpr double step = 32.0;
    std::vector<double> levels;
    for (const NoiseFloor& floor : floors) {
        double sum = 0.0;
        for (double bin = band.low_hz / bin_hz; bin < band.high_hz / bin_hz; bin += step)
            sum += floor.at(bin) * step * bin_hz;
        levels.push_back(sum);
    }
    return levels;
}

void rejection(std::vector<Tone>& tones, const spectrum::Frames& frames, const std::vector<double>& noise,
               std::span<const double> event_hz) {
    const double seconds = static_cast<double>(frames.count + 1) * frames.hop_seconds;
    reject_followers(tones, frames, noise);
    reject_passing(tones);
    reject_families(tones, seconds, event_hz);
    reject_rumble(tones, seconds);
    reject_sidebands(tones);
    reject_notes(tones, event_hz);
    reject_crowds(tones);
}

}  // namespace tattletone::tones
