#include "session/before_after.h"

#include <algorithm>
#include <cmath>

#include "decibels.h"

namespace tattletone {
namespace {

constexpr double same_share = 0.003;

double sd_of_level(const UnitTones& unit, const UnitTone& tone) {
    double best = 20.0;
    for (const HeardIn& entry : tone.heard_in) {
        const Tones& found = unit.takes[static_cast<std::size_t>(entry.take)].found;
        if (!entry.heard || found.floor.empty()) continue;
        const double noise = floor_at(found, tone.tone.hz).noise_dbfs_per_hz;
        const double seconds = found.seconds * std::max(0.05, tone.tone.present);
        best = std::min(best, level_sd_db(entry.level_dbfs, noise, seconds));
    }
    return best;
}

}  // namespace

double level_sd_db(double level_dbfs, double noise_dbfs_per_hz, double seconds) {
    const double share = db_to_power(noise_dbfs_per_hz - level_dbfs) / (2.0 * seconds);
    return 20.0 / std::log(10.0) * std::sqrt(share);
}

std::vector<ToneChange> changes_between(const UnitTones& before, const UnitTones& after) {
    std::vector<ToneChange> both, went, came;
    std::vector<bool> met(after.tones.size(), false);
    for (const UnitTone& old : before.tones) {
        std::size_t best = after.tones.size();
        double best_apart = 0.0;
        for (std::size_t i = 0; i < after.tones.size(); ++i) {
            if (met[i]) continue;
            const Tone& now = after.tones[i].tone;
            const double apart = std::abs(now.hz - old.tone.hz);
            const double reach =
                std::max(same_share * old.tone.hz, 5.0 * std::hypot(now.hz_sd, old.tone.hz_sd));
            if (apart > reach || (best < after.tones.size() && apart >= best_apart)) continue;
            best = i;
            best_apart = apart;
        }
        if (best == after.tones.size()) {
            went.push_back({old.id, 0, old.tone.hz, 0.0, 0.0, 0.0, 0.0});
            continue;
        }
        met[best] = true;
        const UnitTone& now = after.tones[best];
        both.push_back({old.id, now.id, now.tone.hz, now.tone.hz - old.tone.hz,
                        std::hypot(now.tone.hz_sd, old.tone.hz_sd),
                        now.tone.level_dbfs - old.tone.level_dbfs,
                        std::hypot(sd_of_level(before, old), sd_of_level(after, now))});
    }
    for (std::size_t i = 0; i < after.tones.size(); ++i)
        if (!met[i])
            came.push_back({0, after.tones[i].id, after.tones[i].tone.hz, 0.0, 0.0, 0.0, 0.0});
    both.insert(both.end(), went.begin(), went.end());
    both.insert(both.end(), came.begin(), came.end());
    return both;
}

}  // namespace tattletone
