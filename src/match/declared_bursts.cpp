#include "match/declared_bursts.h"

#include <algorithm>
#include <cmath>

#include "match/model/card_grid.h"

namespace tattletone::match {
namespace {

constexpr double pace_sds = 4.0;

bool is_declared(const board::BoardSheet& sheet, const tones::Tone& tone, const MatchParameters& p) {
    return std::any_of(sheet.rates.begin(), sheet.rates.end(), [&](const board::Rate& rate) {
        if (rate.wanders()) return tone.bursts_hz >= rate.hz_min && tone.bursts_hz <= rate.hz_max;
        const double reach = 1e-6 * (rate.tolerance_ppm + CardGrid::reach_sds * p.card_sd_ppm) * rate.hz;
        return std::abs(tone.bursts_hz - rate.hz) < reach + pace_sds * tone.bursts_hz_sd;
    });
}

bool is_line_of(const tones::Tone& a, const tones::Tone& b, const MatchParameters& p) {
    return std::abs(a.hz - b.hz) < pace_sds * std::hypot(a.hz_sd, b.hz_sd, 1e-6 * p.same_line_ppm * a.hz);
}

const tones::Tone* found_in(const tones::Take& take, const tones::Tone& carrier, const tones::Tone& sideband,
                            const MatchParameters& p) {
    for (const tones::Tone& tone : take.found.tones) {
        if (!is_line_of(tone, carrier, p)) continue;
        for (const tones::Tone& other : tone.sidebands)
            if (is_line_of(other, sideband, p)) return &other;
    }
    return nullptr;
}

tones::UnitTone as_tone(const tones::UnitTones& unit, const tones::UnitTone& carrier, const tones::Tone& sideband,
                        const MatchParameters& p) {
    tones::UnitTone tone{0, sideband, {}};
    tone.tone.origin = carrier.tone.origin;
    tone.tone.rejection = carrier.tone.rejection;
    for (const tones::HeardIn& in : carrier.heard_in) {
        const tones::Take& take = unit.takes[static_cast<std::size_t>(in.take)];
        tones::HeardIn own{in.take, false, 0.0, 0.0, 0.0};
        if (const tones::Tone* found = found_in(take, carrier.tone, sideband, p)) {
            own.heard = true;
            own.level_dbfs = found->level_dbfs;
            own.tone_to_noise_db = found->tone_to_noise_db;
        } else if (!take.found.floor.empty()) {
            own.below_dbfs = tones::floor_at(take.found, sideband.hz).steady_above_dbfs;
        } else {
            continue;
        }
        tone.heard_in.push_back(own);
    }
    return tone;
}

}  // namespace

tones::UnitTones with_declared_bursts(const board::BoardSheet& sheet, tones::UnitTones unit,
                                      const MatchParameters& parameters) {
    std::vector<tones::UnitTone> back;
    for (tones::UnitTone& tone : unit.tones) {
        if (tone.tone.sidebands.empty() || !is_declared(sheet, tone.tone, parameters)) continue;
        for (const tones::Tone& sideband : tone.tone.sidebands)
            back.push_back(as_tone(unit, tone, sideband, parameters));
        tone.tone.sidebands.clear();
    }
    if (back.empty()) return unit;
    for (tones::UnitTone& tone : back) unit.tones.push_back(std::move(tone));
    tones::number_by_hz(unit.tones);
    return unit;
}

}  // namespace tattletone::match
