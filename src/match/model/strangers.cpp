// How many tones there are that nobody declared, and what tells that they come from elsewhere.

#include <algorithm>
#include <cmath>
#include <numbers>

#include "match/model/gauss.h"
#include "match/model/observations.h"

namespace tattletone::match {
namespace {

// Line rates of the two colour systems (ITU-R BT.470), what their halves make included.
constexpr double television_lines_hz[] = {15625.0, 7812.5, 15734.266};

bool share_a_take(const ObservedTone& a, const ObservedTone& b) {
    for (std::size_t take = 0; take < a.heard.size(); ++take)
        if (a.heard[take] == Heard::yes && b.heard[take] == Heard::yes) return true;
    return false;
}

/// Has it met another tone in a take in which this one sounds? Elsewhere it may have been this one, moved on.
bool met_beside(const tones::RoomLine& line, const ObservedTone& tone) {
    return std::any_of(line.met_in.begin(), line.met_in.end(),
                       [&](int take) { return tone.heard[static_cast<std::size_t>(take)] == Heard::yes; });
}

/// By how many times twice the mains two moving lines are apart, 0 where by none.
int sides_apart(const ObservedTone& a, const ObservedTone& b, const MainsHeard& mains, const MatchParameters& p) {
    const double step_hz = 2.0 * mains.hz, apart_hz = std::abs(a.hz - b.hz);
    const double order = std::round(apart_hz / step_hz);
    if (order < 1.0 || order > p.mains_fed_sides) return 0;
    const double grid_sd = mains.heard ? p.mains_fed_grid_ppm * 1e-6 : p.mains_reach / p.mains_sds;
    const double slack_hz = p.mains_sds * std::hypot(a.sd_hz, b.sd_hz, order * step_hz * grid_sd);
    return std::abs(apart_hz - order * step_hz) < std::min(slack_hz, p.mains_fed_slack * step_hz)
               ? static_cast<int>(order)
               : 0;
}

/// Densities per Hz and dB.
struct Elsewhere {
    double unheard = 0.0;        ///< what moves in a room that was not recorded
    double mains_fed = 0.0;      ///< of a converter on the mains, by its sides
    double mains = 0.0;          ///< of multiples of the mains beyond those of a source
    double room_moved_on = 0.0;  ///< of what the room's recording has elsewhere, or too faintly
    double clipping = 0.0;       ///< of what a limit makes of stronger tones
};

Elsewhere elsewhere_density(const Observations& observations, const ObservedTone& tone, double excess_db) {
    const MatchParameters& p = observations.parameters;
    const double level = std::exp(-excess_db / p.background_level_db) / p.background_level_db;
    const double octaves_a_hz = 1.0 / (tone.hz * std::numbers::ln2);
    Elsewhere elsewhere;
    if (tone.faint) return elsewhere;
    if (tone.product_hz > 0.0)
        elsewhere.clipping =
            p.product_emission / p.product_levels_db *
            std::exp(log_normal_density(tone.hz, tone.product_hz, std::hypot(tone.product_hz_sd, tone.sd_hz)));
    if (!tone.steady && !observations.room_given)
        elsewhere.unheard = p.unheard_moving_per_octave * octaves_a_hz * level;
    if (tone.mains_sides > 1)
        elsewhere.mains_fed = p.mains_fed_per_octave * p.mains_fed_likelihood * octaves_a_hz * level;
    if (tone.mains_multiple > board::most_order)
        elsewhere.mains = p.mains_high_emission * std::min(1.0, observations.mains_buzz / p.mains_high_lines) /
                          (2.0 * p.mains_sds * p.mains_high_hz * tone.mains_multiple) * level;
    const double near_floor = std::exp(-excess_db / p.room_steady_level_db) / p.room_steady_level_db;
    for (const tones::RoomLine& line : observations.room_lines) {
        const double by = std::log(tone.hz / line.hz);
        if (std::abs(by) > std::numbers::ln2) continue;
        const double like = line.steady == tone.steady ? 1.0 : p.room_unlike;
        constexpr double within_an_octave = 1.0 / (2.0 * std::numbers::ln2);
        double a_log_hz = p.room_missed * within_an_octave * near_floor;
        if (!met_beside(line, tone))
            a_log_hz = (p.room_stray_near * std::exp(log_normal_density(by, 0.0, p.room_stray_sd)) +
                        (p.room_stray_share - p.room_stray_near) * within_an_octave) *
                       level;
        elsewhere.room_moved_on += like * a_log_hz / tone.hz;
    }
    return elsewhere;
}

}  // namespace

void count_mains_sides(Observations& observations) {
    const MatchParameters& p = observations.parameters;
    for (ObservedTone& tone : observations.tones) {
        tone.mains_sides = 0;
        if (tone.steady || tone.faint || !tone.accuses || tone.hz < p.mains_fed_low_hz) continue;
        for (const MainsHeard& mains : observations.mains) {
            int sides = 0;
            bool next = false;
            for (const ObservedTone& other : observations.tones) {
                if (&other == &tone || other.steady || other.faint || !share_a_take(tone, other)) continue;
                const int apart = sides_apart(tone, other, mains, p);
                sides += apart > 0;
                next = next || apart == 1;
            }
            if (next) tone.mains_sides = std::max(tone.mains_sides, sides);
        }
    }
}

double Observations::undeclared_density(double hz, bool steady, double excess_db, double clutter) const {
    const MatchParameters& p = parameters;
    const double octaves_a_hz =
        clutter * (hz < p.low_band_hz ? p.background_low_factor : 1.0) / (hz * std::numbers::ln2);
    double nearest = std::round(hz / p.round_step_hz) * p.round_step_hz;
    for (const double line_hz : television_lines_hz)
        if (std::abs(hz - line_hz) < std::abs(hz - nearest)) nearest = line_hz;
    double sources = p.background_per_octave * octaves_a_hz;
    if (nearest > 0.0)
        sources += p.round_share * std::exp(log_normal_density(hz, nearest, p.round_sd_ppm * 1e-6 * nearest));
    const double room_level_db = steady ? p.room_steady_level_db : p.room_moving_level_db;
    return p.room_per_octave * octaves_a_hz * (steady ? p.room_steady : 1.0 - p.room_steady) *
               std::exp(-excess_db / room_level_db) / room_level_db +
           sources * (steady ? p.background_steady : 1.0 - p.background_steady) *
               std::exp(-excess_db / p.background_level_db) / p.background_level_db;
}

void set_clutter(Observations& observations, double clutter) {
    const MatchParameters& p = observations.parameters;
    const double level_scatter = std::numbers::sqrt2 * std::max(observations.level_sd_db, p.least_take_scatter_db);
    for (ObservedTone& tone : observations.tones) {
        double above = tone.level_dbfs;
        TakeSet heard_in;
        int can_tell = 0;
        double log_presence = 0.0;
        for (std::size_t take = 0; take < tone.heard.size(); ++take) {
            if (tone.heard[take] == Heard::cannot_tell) continue;
            ++can_tell;
            if (tone.heard[take] == Heard::yes) {
                heard_in.add(take);
                log_presence += std::log(p.background_in_take);
            } else {
                const double missed = quick_normal_below((tone.below_dbfs[take] - tone.level_dbfs) / level_scatter);
                log_presence += std::log(1.0 - p.background_in_take + p.background_in_take * missed);
            }
        }
        if (can_tell > 0) log_presence -= std::log(1.0 - std::pow(1.0 - p.background_in_take, can_tell));
        observations.lowest_threshold(tone.hz, !tone.steady, heard_in, above);
        const double excess = std::max(0.0, tone.level_dbfs - above);
        const double usual = observations.undeclared_density(tone.hz, tone.steady, excess, clutter);
        const Elsewhere elsewhere = elsewhere_density(observations, tone, excess);
        const double shown = elsewhere.mains + elsewhere.mains_fed + elsewhere.room_moved_on + elsewhere.clipping;
        tone.elsewhere_share = shown / (usual + elsewhere.unheard + shown);
        tone.elsewhere = elsewhere.clipping > 0.5 * shown    ? ElsewhereKind::clipping
                         : elsewhere.mains > 0.5 * shown     ? ElsewhereKind::mains
                         : elsewhere.mains_fed > 0.5 * shown ? ElsewhereKind::mains_fed
                                                             : ElsewhereKind::room;
        const double log_stray = std::log(usual + elsewhere.unheard + shown);
        // Voices and music leave peaks of their own under the threshold.
        if (const FarEvidence* fall = observations.fall_of(tone)) log_presence += fall->log_stray;
        tone.log_undeclared =
            tone.faint ? log_add(log_stray, tone.log_noise_density + std::log(clutter * (1.0 + observations.unsure)))
                       : log_stray + (tone.of_board ? 0.0 : std::log(p.unsure_factor)) + log_presence;
        tone.log_undeclared += tone.trial_undeclared;
    }
}

}  // namespace tattletone::match
