#include "session/sitting/before_after.h"

#include <algorithm>
#include <cmath>

#include "match/model/spots.h"

namespace tattletone::session {
namespace {

constexpr double same_share = 0.003;

const tones::Take& take_of(const tones::UnitTones& unit, const tones::HeardIn& entry) {
    return unit.takes[static_cast<std::size_t>(entry.take)];
}

bool same_state(const tones::Take& a, const tones::Take& b) {
    return a.state.empty() || b.state.empty() || a.state == b.state;
}

double sd_of_level(const tones::UnitTones& unit, const tones::UnitTone& tone, const tones::HeardIn& entry) {
    const tones::Tones& found = take_of(unit, entry).found;
    if (found.floor.empty()) return 20.0;
    const double noise = tones::floor_at(found, tone.tone.hz).noise_dbfs_per_hz;
    return match::level_sd_db(entry.level_dbfs, noise, found.seconds * std::max(0.05, tone.tone.present));
}

/// Of the pairs of takes in one state, the one that tells the difference best.
void compare_levels(const tones::UnitTones& before, const tones::UnitTone& old, const tones::UnitTones& after,
                    const tones::UnitTone& now, ToneChange& change) {
    for (const tones::HeardIn& a : old.heard_in)
        for (const tones::HeardIn& b : now.heard_in) {
            const tones::Take &first = take_of(before, a), &second = take_of(after, b);
            if (!a.heard || !b.heard || !same_state(first, second)) continue;
            const double sd = std::hypot(sd_of_level(before, old, a), sd_of_level(after, now, b));
            if (change.db_change && sd >= change.db_sd) continue;
            change.db_change = b.level_dbfs - a.level_dbfs;
            change.db_sd = sd;
            change.state = second.state.empty() ? first.state : second.state;
        }
}

/// A tone of `there` that the other session does not have.
ToneChange alone(const tones::UnitTones& there, const tones::UnitTone& tone, const tones::UnitTones& other,
                 Became became) {
    ToneChange change;
    change.hz = tone.tone.hz;
    change.origin = tone.tone.origin;
    (became == Became::went ? change.before : change.after) = tone.id;
    change.became = Became::no_such_take;
    double most = 0.0;
    for (const tones::HeardIn& entry : tone.heard_in) {
        if (!entry.heard) continue;
        const tones::Take& take = take_of(there, entry);
        for (const tones::Take& silent : other.takes) {
            if (!same_state(take, silent)) continue;
            if (change.became == Became::no_such_take) change.became = Became::too_quiet;
            const tones::Tones& found = silent.found;
            if (found.floor.empty() || tone.tone.hz < found.usable.low_hz || tone.tone.hz > found.usable.high_hz)
                continue;
            const tones::FloorPoint floor = tones::floor_at(found, tone.tone.hz);
            const double by =
                entry.level_dbfs - (tone.tone.steady ? floor.steady_above_dbfs : floor.wandering_above_dbfs);
            if (by <= most) continue;
            most = by;
            change.became = became;
            change.db_change = became == Became::went ? -by : by;
            change.state = take.state.empty() ? silent.state : take.state;
        }
    }
    return change;
}

}  // namespace

std::vector<ToneChange> changes_between(const tones::UnitTones& before, const tones::UnitTones& after) {
    std::vector<ToneChange> both, went, came;
    std::vector<bool> met(after.tones.size(), false);
    for (const tones::UnitTone& old : before.tones) {
        std::size_t best = after.tones.size();
        double best_apart = 0.0;
        for (std::size_t i = 0; i < after.tones.size(); ++i) {
            if (met[i]) continue;
            const tones::Tone& now = after.tones[i].tone;
            const double apart = std::abs(now.hz - old.tone.hz);
            const double reach = std::max(same_share * old.tone.hz, 5.0 * std::hypot(now.hz_sd, old.tone.hz_sd));
            if (apart > reach || (best < after.tones.size() && apart >= best_apart)) continue;
            best = i;
            best_apart = apart;
        }
        if (best == after.tones.size()) {
            went.push_back(alone(before, old, after, Became::went));
            continue;
        }
        met[best] = true;
        const tones::UnitTone& now = after.tones[best];
        ToneChange change;
        change.before = old.id;
        change.after = now.id;
        change.hz = now.tone.hz;
        change.origin = now.tone.origin;
        change.hz_change = now.tone.hz - old.tone.hz;
        change.hz_sd = std::hypot(now.tone.hz_sd, old.tone.hz_sd);
        compare_levels(before, old, after, now, change);
        both.push_back(std::move(change));
    }
    for (std::size_t i = 0; i < after.tones.size(); ++i)
        if (!met[i]) came.push_back(alone(after, after.tones[i], before, Became::came));
    both.insert(both.end(), went.begin(), went.end());
    both.insert(both.end(), came.begin(), came.end());
    return both;
}

}  // namespace tattletone::session
