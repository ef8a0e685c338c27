// What the takes say together of a source: where its lines are heard, where not, and how they move.

#include <algorithm>
#include <cmath>

#include "match/model/gauss.h"
#include "match/model/spots.h"
#include "match/model/weigher.h"

namespace tattletone::match {

double Weigher::log_movement(std::span<const LineMatch> seen) const {
    Movement sum = movement_of(source_);
    const ObservedTone* anchor = nullptr;
    for (const LineMatch& line_match : seen) {
        const ObservedTone& tone = observations_.tones[static_cast<std::size_t>(line_match.tone)];
        const Movement found = log_found(observations_.parameters, source_, tone);
        sum.log_steady += found.log_steady;
        sum.log_moving += found.log_moving;
        if (!source_.loose || source_.kind == SourceKind::family || !tone.steady || tone.drift_sd <= 0.0) continue;
        if (anchor)
            sum.log_moving +=
                std::clamp(log_same_drift(observations_.parameters, *anchor, tone),
                           -observations_.parameters.path_loss_limit, observations_.parameters.path_gain_limit);
        else
            anchor = &tone;
    }
    return log_add(sum.log_steady, sum.log_moving);
}

const TakeSet& Weigher::takes_of(const LineMatch& line_match) const {
    return line_match.line >= 0 ? source_.lines[static_cast<std::size_t>(line_match.line)].takes
                                : observations_.all_takes;
}

TakeSet Weigher::heard_in(std::span<const LineMatch> seen) const {
    TakeSet takes;
    for (const LineMatch& line_match : seen) {
        const ObservedTone& tone = observations_.tones[static_cast<std::size_t>(line_match.tone)];
        for (std::size_t take = 0; take < tone.heard.size(); ++take)
            if (tone.heard[take] == Heard::yes && takes_of(line_match).has(take)) takes.add(take);
    }
    return takes;
}

// The same line at another setting of the rate is among them.
bool Weigher::has_twin(std::span<const LineMatch> among, const LineMatch& line_match) const {
    if (observations_.settings.size() < 2 || line_match.line < 0) return false;
    const ExpectedLine& line = source_.lines[static_cast<std::size_t>(line_match.line)];
    return std::any_of(among.begin(), among.end(), [&](const LineMatch& other) {
        return other.line != line_match.line && source_.lines[static_cast<std::size_t>(other.line)].same_line(line);
    });
}

bool Weigher::has_line_at(const ObservedTone& tone, std::size_t take, double x) const {
    return std::any_of(source_.lines.begin(), source_.lines.end(), [&](const ExpectedLine& line) {
        const double reach_hz = std::max(tone.hide_hz, 4.0 * line.extra_sd_hz);
        return line.takes.has(take) && std::abs(line.at_zero_hz + line.slope_hz * x - tone.hz) < reach_hz;
    });
}

// A line that is heard in other takes stands elsewhere in this one. Adds to `log_missed` where it is not found there;
// false where nobody can tell.
bool Weigher::elsewhere(std::span<const LineMatch> seen, const LineMatch& line_match, std::size_t take, double x,
                        double& log_missed) const {
    const ExpectedLine& line = source_.lines[static_cast<std::size_t>(line_match.line)];
    const int there = source_.line_in(line, take);
    if (there < 0 || std::any_of(seen.begin(), seen.end(), [&](const LineMatch& other) { return other.line == there; }))
        return false;
    const ExpectedLine& expected = source_.lines[static_cast<std::size_t>(there)];
    const double hz = expected.at_zero_hz + expected.slope_hz * x;
    if (!observations_.thresholds[take].can_tell(hz)) return false;
    for (const ObservedTone& tone : observations_.tones)
        if (tone.heard[take] == Heard::yes &&
            std::abs(tone.hz - hz) < std::max(tone.hide_hz, 3.0 * expected.extra_sd_hz))
            return false;
    const double level_dbfs = observations_.tones[static_cast<std::size_t>(line_match.tone)].level_dbfs;
    const double scatter_db = std::hypot(observations_.level_sd_db, observations_.parameters.line_scatter_db);
    const double below =
        quick_normal_below((observations_.thresholds[take].above_dbfs(hz, source_.loose) - level_dbfs) / scatter_db);
    const double in_take = observations_.parameters.line_in_take;
    log_missed += std::log(1.0 - in_take + in_take * below);
    return true;
}

namespace {

/// What the takes whose state is not said tell of a source that runs in some states only: they are of one state, or
/// each of its own.
struct UnsaidTakes {
    double active = -1.0;  ///< probability to run in one of them; below 0: there is none
    double log_on = 0.0, log_off = 0.0, log_each = 0.0;

    void add(double probability, double log_if_on, double log_if_off) {
        active = probability;
        log_on += log_if_on;
        log_off += log_if_off;
        log_each += log_add(std::log(probability) + log_if_on, std::log(1.0 - probability) + log_if_off);
    }
    double log_together(double one_state) const {
        if (active < 0.0) return 0.0;
        const double log_one = log_add(std::log(active) + log_on, std::log(1.0 - active) + log_off);
        return log_add(std::log(one_state) + log_one, std::log(1.0 - one_state) + log_each);
    }
};

}  // namespace

// In which takes the source is heard, against the states in which it runs. Normalised by the probability that a rate
// which always runs is heard in one take at least: that much is in the prior.
double Weigher::log_presence(std::span<const LineMatch> seen, const TakeSet& heard, double x) const {
    const MatchParameters& p = observations_.parameters;
    const double sings = source_.kind == SourceKind::family ? p.family_in_take : p.sings_when_active;
    const double scatter = std::sqrt(2.0) * std::max(observations_.level_sd_db, p.least_take_scatter_db);
    double log_sum = 0.0, log_never = 0.0;
    UnsaidTakes unsaid;
    for (std::size_t take = 0; take < source_.active.size(); ++take) {
        const double active = source_.active[take];
        bool can_tell = false, stayed = false;
        double log_missed = 0.0;
        for (const LineMatch& line_match : seen) {
            const ObservedTone& tone = observations_.tones[static_cast<std::size_t>(line_match.tone)];
            if (!takes_of(line_match).has(take)) {
                if (tone.heard[take] == Heard::yes && !has_line_at(tone, take, x)) stayed = true;
                can_tell = elsewhere(seen, line_match, take, x, log_missed) || stayed || can_tell;
                continue;
            }
            if (tone.heard[take] != Heard::cannot_tell) can_tell = true;
            if (tone.heard[take] != Heard::no) continue;
            const double below = quick_normal_below((tone.below_dbfs[take] - tone.level_dbfs) / scatter);
            log_missed += std::log(1.0 - p.line_in_take + p.line_in_take * below);
        }
        if (!can_tell) continue;
        log_never += std::log(1.0 - sings);
        if (stayed) {  // where it was before the change: that was not in effect
            log_sum += std::log(p.state_error);
        } else {
            const bool here = heard.has(take);
            const double log_if_on =
                here ? std::log(sings) + log_missed : std::log(1.0 - sings + sings * std::exp(log_missed));
            const double log_if_off = here ? std::log(p.state_error) : 0.0;
            if (active > 0.0 && active < 1.0)
                unsaid.add(active, log_if_on, log_if_off);
            else
                log_sum += active > 0.5 ? log_if_on : log_if_off;
        }
    }
    return log_sum + unsaid.log_together(p.unsaid_one_state) - std::log(1.0 - std::exp(log_never));
}

double Weigher::log_spot(std::span<const LineMatch> seen) const {
    if (source_.spot.empty()) return 0.0;
    const auto loudest = std::max_element(seen.begin(), seen.end(), [&](const LineMatch& a, const LineMatch& b) {
        return observations_.tones[static_cast<std::size_t>(a.tone)].level_dbfs <
               observations_.tones[static_cast<std::size_t>(b.tone)].level_dbfs;
    });
    return std::log(spot_odds_factor(source_.spot, observations_.spots[static_cast<std::size_t>(loudest->tone)],
                                     observations_.parameters));
}

double Weigher::log_falls(std::span<const LineMatch> seen) const {
    if (observations_.falls.empty()) return 0.0;
    std::vector<const FarEvidence*> falls;
    for (const LineMatch& line_match : seen)
        if (const auto* fall = observations_.fall_of(observations_.tones[static_cast<std::size_t>(line_match.tone)]))
            falls.push_back(fall);
    return log_fall(falls, source_.from_room);
}

// Harmonics of one wandering source follow one path: their relative drifts are equal. Against tones that have nothing
// to do with each other, whose drifts are anything (Laplace).
double Weigher::log_paths(std::span<const LineMatch> seen) const {
    if (source_.kind == SourceKind::fixed && !source_.loose) return 0.0;
    const MatchParameters& p = observations_.parameters;
    const double sd = std::sqrt(2.0) * p.family_drift_sd;
    const ObservedTone* anchor = nullptr;
    double sum = 0.0;
    for (const LineMatch& line_match : seen) {
        const ObservedTone& tone = observations_.tones[static_cast<std::size_t>(line_match.tone)];
        if (!anchor) {
            anchor = &tone;
            continue;
        }
        const double width = std::hypot(sd, p.path_drift_share * anchor->restless);
        const double z = (tone.drift - anchor->drift) / width;
        if (tone.steady && anchor->steady) continue;
        if (tone.steady || anchor->steady) {
            sum += std::max(-0.5 * z * z, -p.path_loss_limit);
            continue;
        }
        const double free = -std::abs(tone.drift) / p.stray_drift - std::log(2.0 * p.stray_drift);
        sum +=
            std::clamp(log_normal_density(z, 0.0, 1.0) - std::log(width) - free, -p.path_loss_limit, p.path_gain_limit);
    }
    return sum;
}

}  // namespace tattletone::match
