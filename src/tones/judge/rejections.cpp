#include "tones/judge/rejections.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "base/decibels.h"

namespace tattletone::tones {
namespace {

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
bool moves(const Tone& tone, double seconds, const RejectionLimits& limits) {
    return !tone.steady || tone.hz_sd * seconds > limits.moves_turns;
}

// Rejections, each a gate of its own.

void reject_followers(std::vector<Tone>& tones, double hop_seconds, const std::vector<double>& noise_level,
                      const RejectionLimits& limits) {
    if (noise_level.size() < static_cast<std::size_t>(limits.follow_frames)) return;
    for (Tone& tone : tones) {
        // A weak steady line's level in one part is mostly noise, which does follow the room.
        if (tone.steady && tone.evidence < limits.follow_evidence_db) continue;
        std::vector<double> own, room;
        for (const TonePoint& point : tone.history) {
            const double at =
                std::clamp(point.seconds / hop_seconds - 1.0, 0.0, static_cast<double>(noise_level.size() - 1));
            own.push_back(std::max(point.level_dbfs, tone.level_dbfs - limits.follow_depth_db));
            room.push_back(base::mean_square_to_dbfs(std::max(noise_level[static_cast<std::size_t>(at)], 1e-12)));
        }
        if (spread(room) > limits.follow_spread_db && spread(own) > limits.follow_spread_db &&
            correlation(own, room) > limits.follow_correlation)
            tone.origin = Origin::unsure, tone.rejection = "its level follows that of the room's sounds";
    }
}

// Notes and cries leave lines at their pitch. Where they do, only a line that stands well over its
// threshold is believed to be something else.
void reject_notes(std::vector<Tone>& tones, std::span<const double> event_hz, const RejectionLimits& limits) {
    for (Tone& tone : tones) {
        const auto low = std::lower_bound(event_hz.begin(), event_hz.end(), tone.hz / limits.note_reach);
        const auto high = std::upper_bound(event_hz.begin(), event_hz.end(), tone.hz * limits.note_reach);
        // Where a moving line lingers, the whole segment shows pieces of it that are no notes.
        const double own_hz = tone.steady ? 0.0 : limits.note_own_hz + limits.note_own_wanders * tone.wander_hz;
        const auto notes = std::count_if(low, high, [&](double hz) { return std::abs(hz - tone.hz) >= own_hz; });
        if (notes < limits.note_events || tone.evidence > (tone.steady ? limits.note_steady_db : limits.note_moving_db))
            continue;
        tone.origin = Origin::unsure;
        tone.rejection = "weak, among lines that notes or voices make";
    }
}

void reject_sidebands(std::vector<Tone>& tones, const RejectionLimits& limits) {
    for (const Tone& carrier : tones) {
        for (Tone& tone : tones) {
            const double distance = tone.hz - carrier.hz;
            if (std::abs(distance) > limits.sideband_reach_hz ||
                tone.level_dbfs > carrier.level_dbfs - limits.sideband_below_db)
                continue;
            const bool paired = std::any_of(tones.begin(), tones.end(), [&](const Tone& twin) {
                const double sd = std::hypot(twin.hz_sd, tone.hz_sd, 2.0 * carrier.hz_sd);
                return &twin != &tone && twin.level_dbfs < carrier.level_dbfs - limits.sideband_below_db &&
                       std::abs(twin.hz - carrier.hz + distance) < limits.sideband_sds * sd + limits.sideband_slack_hz;
            });
            if (!paired) continue;
            tone.origin = Origin::unsure;
            tone.rejection = "one of a pair of sidebands of a much stronger line";
        }
    }
}

// A sound that repeats (a tick, a loop) makes a fine comb over its whole band; lines that stand
// well over the comb's teeth are something else.
bool in_comb(const std::vector<Tone>& tones, std::size_t which, const RejectionLimits& limits) {
    int close_pairs = 0;
    std::vector<double> evidence;
    for (std::size_t i = 1; i < tones.size(); ++i) {
        if (std::abs(tones[i].hz - tones[which].hz) > limits.comb_reach_hz) continue;
        evidence.push_back(tones[i].evidence);
        close_pairs += tones[i].hz - tones[i - 1].hz < limits.comb_spacing_hz ? 1 : 0;
    }
    if (close_pairs < limits.comb_pairs) return false;
    const auto middle = evidence.begin() + static_cast<std::ptrdiff_t>(evidence.size() / 2);
    std::nth_element(evidence.begin(), middle, evidence.end());
    return tones[which].evidence < *middle + limits.comb_clear_db;
}

void reject_crowds(std::vector<Tone>& tones, const RejectionLimits& limits) {
    for (std::size_t i = 0; i < tones.size(); ++i) {
        const auto near = std::count_if(tones.begin(), tones.end(), [&](const Tone& other) {
            return std::abs(other.hz - tones[i].hz) < limits.crowd_hz;
        });
        if (near <= limits.crowd_lines && !in_comb(tones, i, limits)) continue;
        tones[i].origin = Origin::unsure;
        tones[i].rejection = "one of a dense cluster of lines";
    }
}

void reject_rumble(std::vector<Tone>& tones, double seconds, const RejectionLimits& limits) {
    for (Tone& tone : tones) {
        if (tone.steady && tone.hz < limits.hum_below_hz) {
            tone.origin = Origin::unsure;
            tone.rejection = "so low that any machine nearby may hum there";
        } else if (tone.hz < limits.rumble_below_hz && moves(tone, seconds, limits)) {
            tone.origin = Origin::unsure;
            tone.rejection = "a moving line among rumble, fans and engines";
        }
    }
}

void reject_passing(std::vector<Tone>& tones, const RejectionLimits& limits) {
    for (Tone& tone : tones)
        if (tone.present < limits.least_present)
            tone.origin = Origin::unsure, tone.rejection = "there for a part of the recording only";
}

// Whether a tone is a multiple of something low that moves, or of which no lasting line was left.
bool multiple_of_low(const std::vector<Tone>& tones, std::size_t which, double seconds,
                     std::span<const double> event_hz, const RejectionLimits& limits) {
    const Tone& tone = tones[which];
    const auto multiple = [&](double base_hz, double base_wander_hz) {
        if (base_hz >= limits.rumble_below_hz) return false;
        const double order = std::round(tone.hz / base_hz);
        const double slack = 2.0 * (tone.wander_hz + order * base_wander_hz) + limits.family_slack * tone.hz;
        return order >= 2.0 && order < limits.family_order && std::abs(tone.hz - order * base_hz) < slack;
    };
    for (std::size_t i = 0; i < tones.size(); ++i) {
        const bool doubtful = moves(tones[i], seconds, limits) || tones[i].origin == Origin::unsure;
        if (i != which && doubtful && multiple(tones[i].hz, tones[i].wander_hz)) return true;
    }
    return std::any_of(event_hz.begin(), event_hz.end(), [&](double hz) { return multiple(hz, 0.0); });
}

// Voices, engines and fans: moving lines at one low spacing, or multiples of a low one that moves.
void reject_families(std::vector<Tone>& tones, double seconds, std::span<const double> event_hz,
                     const RejectionLimits& limits) {
    for (std::size_t i = 0; i < tones.size(); ++i) {
        Tone& tone = tones[i];
        if (tone.hz > limits.family_below_hz || !moves(tone, seconds, limits)) continue;
        int near = 0;
        for (const Tone& other : tones)
            near += &other != &tone && moves(other, seconds, limits) &&
                            std::abs(other.hz - tone.hz) < limits.family_reach_hz
                        ? 1
                        : 0;
        if (near < limits.family_others && !multiple_of_low(tones, i, seconds, event_hz, limits)) continue;
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

void rejection(std::vector<Tone>& tones, double hop_seconds, const std::vector<double>& noise,
               std::span<const double> event_hz, const RejectionLimits& limits) {
    const double seconds = static_cast<double>(noise.size() + 1) * hop_seconds;
    reject_followers(tones, hop_seconds, noise, limits);
    reject_passing(tones, limits);
    reject_families(tones, seconds, event_hz, limits);
    reject_rumble(tones, seconds, limits);
    reject_sidebands(tones, limits);
    reject_notes(tones, event_hz, limits);
    reject_crowds(tones, limits);
}

}  // namespace tattletone::tones
