#include "tones/join/far_take.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "tones/join/moved_lines.h"
#include "tones/join/same_lines.h"

namespace tattletone::tones {
namespace {

/// As far as what moves may have moved on in ln hz, all its lines alike.
constexpr double moves_share = 0.1;

/// A tone as the takes near the board have it.
struct Near {
    std::size_t tone = 0;
    double level_dbfs = 0.0, variance_db2 = 0.0;
    bool always = true;  ///< in each that can tell: where it comes and goes, its absence tells nothing
};

/// The Cramér-Rao bound of an amplitude in noise.
double level_variance_db2(const Tones& found, double hz, double level_dbfs) {
    if (found.floor.empty()) return 0.0;
    const double over = std::pow(10.0, 0.1 * (level_dbfs - floor_at(found, hz).noise_dbfs_per_hz)) * found.seconds;
    const double sd = over > 0.0 ? 20.0 / std::numbers::ln10 / std::sqrt(2.0 * over) : 0.0;
    return sd * sd;
}

bool same_state(const Take& near, const Take& far) {
    return near.changes.empty() && (far.state.empty() || near.state.empty() || near.state == far.state);
}

std::vector<Near> near_levels(const std::vector<UnitTone>& tones, const std::vector<Take>& near, const Take& far) {
    std::vector<Near> levels;
    for (std::size_t i = 0; i < tones.size(); ++i) {
        Near level;
        level.tone = i;
        int heard = 0;
        for (const HeardIn& in : tones[i].heard_in) {
            const Take& take = near[static_cast<std::size_t>(in.take)];
            if (!same_state(take, far)) continue;
            level.always = level.always && in.heard;
            if (!in.heard) continue;
            ++heard;
            level.level_dbfs += in.level_dbfs;
            level.variance_db2 += level_variance_db2(take.found, tones[i].tone.hz, in.level_dbfs);
        }
        if (heard == 0) continue;
        level.level_dbfs /= heard;
        level.variance_db2 /= heard * heard;
        levels.push_back(level);
    }
    return levels;
}

/// One of what moves, not met: it may be the tone, gone on.
bool may_have_moved(const Tone& tone, const std::vector<const Tone*>& fresh, const std::vector<char>& met) {
    if (tone.steady) return false;
    for (std::size_t i = 0; i < fresh.size(); ++i)
        if (!met[i] && !fresh[i]->steady && std::abs(std::log(tone.hz / fresh[i]->hz)) < moves_share) return true;
    return false;
}

void add_fall(UnitTone& tone, const FarFall& fall) {
    if (!tone.far_fall) {
        tone.far_fall = fall;
        return;
    }
    FarFall& known = *tone.far_fall;
    if (known.heard != fall.heard) {
        if (fall.heard) known = fall;
        return;
    }
    if (!fall.heard) {
        known.db = std::max(known.db, fall.db);
        return;
    }
    const double n = known.takes;
    known.db = (n * known.db + fall.db) / (n + 1.0);
    known.sd_db = std::hypot(n * known.sd_db, fall.sd_db) / (n + 1.0);
    ++known.takes;
}

void compare(std::vector<UnitTone>& tones, const std::vector<Take>& near, const Take& far,
             const RejectionLimits& limits) {
    const std::vector<Near> levels = near_levels(tones, near, far);
    std::vector<const Tone*> known, fresh;
    for (const Near& level : levels) known.push_back(&tones[level.tone].tone);
    for (const Tone& tone : far.found.tones) fresh.push_back(&tone);
    std::vector<char> met_known(known.size(), 0), met_fresh(fresh.size(), 0);
    const auto meet = [&](std::size_t i, std::size_t j) {
        met_known[i] = met_fresh[j] = 1;
        const double variance =
            levels[i].variance_db2 + level_variance_db2(far.found, fresh[j]->hz, fresh[j]->level_dbfs);
        add_fall(tones[levels[i].tone], {true, levels[i].level_dbfs - fresh[j]->level_dbfs, std::sqrt(variance), 1});
    };
    for (const Link& link : matched(known, fresh, limits)) meet(link.left, link.right);
    // What moves may have been somewhere else in every take: several of its tones may meet one line of the far one.
    std::vector<char> gone(fresh.size());
    for (std::size_t j = 0; j < fresh.size(); ++j) gone[j] = met_fresh[j] && fresh[j]->steady;
    for (;;) {
        const auto alike = moved_alike(known, met_known, fresh, gone, moves_share, limits);
        const bool alone = alike.size() == 1;
        if (worth_of(alike, known, fresh) < (alone ? 1.0 : 1.5)) break;
        if (alone && std::abs(alike[0].by) > limits.room_moves_alone) break;
        for (const MovedPair& pair : alike) {
            meet(pair.first, pair.second);
            gone[pair.second] = fresh[pair.second]->steady;
        }
    }
    for (std::size_t i = 0; i < known.size(); ++i) {
        if (met_known[i] || !levels[i].always || may_have_moved(*known[i], fresh, gone)) continue;
        const auto above_dbfs = found_above_dbfs(far.found, *known[i]);
        if (above_dbfs && levels[i].level_dbfs > *above_dbfs)
            add_fall(tones[levels[i].tone], {false, levels[i].level_dbfs - *above_dbfs, 0.0, 1});
    }
}

}  // namespace

void add_falls(std::vector<UnitTone>& tones, const std::vector<Take>& near, const std::vector<Take>& far,
               const RejectionLimits& limits) {
    for (const Take& one : far) compare(tones, near, one, limits);
}

}  // namespace tattletone::tones
