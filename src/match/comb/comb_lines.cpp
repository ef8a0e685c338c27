// The lines of combs as tones, so that each is explained by one source only.

#include <algorithm>
#include <cmath>
#include <limits>

#include "match/comb/comb_search.h"
#include "match/model/faint.h"

namespace tattletone::match {
namespace {

// Nearer than this in what the recording resolves two lines are one.
constexpr double same_line_resolutions = 1.0;

template <class HzOf>
int nearest(std::size_t count, double hz, double within_hz, HzOf&& hz_of) {
    int best = -1;
    for (std::size_t i = 0; i < count; ++i) {
        const double apart = std::abs(hz_of(i) - hz);
        if (apart <= within_hz) best = static_cast<int>(i), within_hz = apart;
    }
    return best;
}

tones::UnitTone tone_of(const CombLine& line, int take, const tones::Tones& found) {
    tones::UnitTone unit_tone;
    unit_tone.tone = faint_tone(line.hz, line.hz_sd, line.level_dbfs, found);
    unit_tone.tone.comb = true;
    unit_tone.heard_in.push_back({take, true, line.level_dbfs, unit_tone.tone.tone_to_noise_db, 0.0});
    return unit_tone;
}

}  // namespace

tones::UnitTones with_comb_lines(tones::UnitTones unit, const std::vector<Comb>& combs) {
    for (const Comb& comb : combs) {
        const tones::Tones& found = unit.takes[static_cast<std::size_t>(comb.take)].found;
        for (const CombLine& line : comb.lines) {
            const int known = nearest(unit.tones.size(), line.hz, same_line_resolutions / found.seconds,
                                      [&](std::size_t i) { return unit.tones[i].tone.hz; });
            if (known < 0) unit.tones.push_back(tone_of(line, comb.take, found));
        }
    }
    tones::number_by_hz(unit.tones);
    return unit;
}

void attach(Observations& observations, std::vector<Comb> combs) {
    for (Comb& comb : combs) {
        for (CombLine& line : comb.lines)
            line.tone = nearest(observations.tones.size(), line.hz,
                                same_line_resolutions / observations.take_seconds[static_cast<std::size_t>(comb.take)],
                                [&](std::size_t i) { return observations.tones[i].hz; });
        for (const CombLine& line : comb.lines)
            if (line.tone < 0) comb.base += line.gain;
        std::erase_if(comb.lines, [](const CombLine& line) { return line.tone < 0; });
        // Two of its lines are not one tone.
        for (std::size_t i = 0; i < comb.lines.size(); ++i)
            for (std::size_t j = comb.lines.size(); j-- > i + 1;)
                if (comb.lines[i].tone == comb.lines[j].tone)
                    comb.lines.erase(comb.lines.begin() + static_cast<std::ptrdiff_t>(j));
    }
    std::erase_if(combs, [](const Comb& comb) { return comb.lines.empty(); });
    observations.combs = std::move(combs);
}

}  // namespace tattletone::match
