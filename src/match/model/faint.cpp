#include "match/model/faint.h"

#include <algorithm>
#include <cmath>

#include "base/decibels.h"
#include "match/model/card_grid.h"
#include "match/model/source.h"
#include "tones/judge/critical_band.h"

namespace tattletone::match {
namespace {

// Where the widest of windows would hold more of noise's peaks than this, one more says nothing.
constexpr double most_by_chance = 0.1;
constexpr double faint_agree_sds = 4.0;
constexpr std::size_t most_faint = 32;

struct Found {
    tones::UnitTone tone;
    double by_chance = 0.0;  ///< noise's peaks as high, in the window
};

bool known(const tones::UnitTones& unit, const tones::FaintLine& line) {
    return std::any_of(unit.tones.begin(), unit.tones.end(), [&](const tones::UnitTone& tone) {
        return std::abs(tone.tone.hz - line.hz) <
               faint_agree_sds * std::hypot(tone.tone.hz_sd, line.hz_sd) + tone.tone.wander_hz;
    });
}

// The same line in another take: noise would have to stand there twice.
void join(tones::UnitTone& into, const tones::UnitTone& other, const MatchParameters& p) {
    const double reach_hz = faint_agree_sds * std::hypot(into.tone.hz_sd, other.tone.hz_sd);
    const double again = other.tone.log_noise_density + std::log(2.0 * reach_hz * p.noise_excess_db);
    const double density = into.tone.log_noise_density + std::min(again, 0.0);
    into.heard_in.insert(into.heard_in.end(), other.heard_in.begin(), other.heard_in.end());
    std::sort(into.heard_in.begin(), into.heard_in.end(),
              [](const tones::HeardIn& a, const tones::HeardIn& b) { return a.take < b.take; });
    if (other.tone.hz_sd < into.tone.hz_sd) into.tone = other.tone;
    into.tone.log_noise_density = density;
}

bool same_line(const tones::Tone& a, const tones::Tone& b, const MatchParameters& p) {
    return std::abs(a.hz - b.hz) < 3.0 * std::hypot(a.hz_sd, b.hz_sd) + p.same_line_ppm * 1e-6 * a.hz;
}

void add_found(const Source& source, const ExpectedLine& line, const tones::UnitTones& unit, double reach,
               const MatchParameters& p, std::vector<Found>& found) {
    const double half_hz = reach * std::abs(line.slope_hz) + 5.0 * line.extra_sd_hz;
    for (std::size_t take = 0; take < source.active.size(); ++take) {
        if (!line.takes.has(take)) continue;
        const tones::Tones& heard = unit.takes[take].found;
        auto peak = std::lower_bound(heard.faint.begin(), heard.faint.end(), line.at_zero_hz - half_hz,
                                     [](const tones::FaintLine& l, double hz) { return l.hz < hz; });
        for (; peak != heard.faint.end() && peak->hz <= line.at_zero_hz + half_hz; ++peak) {
            const double by_chance = std::exp(peak->log_noise_density) * p.noise_excess_db * 2.0 * half_hz;
            if (by_chance > most_by_chance || known(unit, *peak)) continue;
            tones::UnitTone tone;
            tone.tone = faint_tone(peak->hz, peak->hz_sd, peak->level_dbfs, heard);
            tone.tone.log_noise_density = peak->log_noise_density;
            tone.heard_in.push_back(
                {static_cast<int>(take), true, tone.tone.level_dbfs, tone.tone.tone_to_noise_db, 0.0});
            found.push_back({std::move(tone), by_chance});
        }
    }
}

// Of n takes noise may have made it in any, and of several in any so many of them.
double log_choices(const tones::UnitTone& tone, const tones::UnitTones& unit) {
    const auto takes =
        static_cast<double>(std::count_if(unit.takes.begin(), unit.takes.end(), [&](const tones::Take& take) {
            return !take.found.floor.empty() && tone.tone.hz >= take.found.usable.low_hz &&
                   tone.tone.hz <= take.found.usable.high_hz;
        }));
    const auto times = static_cast<double>(tone.heard_in.size());
    return takes > times ? std::lgamma(takes + 1.0) - std::lgamma(times + 1.0) - std::lgamma(takes - times + 1.0) : 0.0;
}

/// One tone a line, those that noise makes most seldom.
std::vector<tones::UnitTone> choose(std::vector<Found> found, const MatchParameters& p) {
    std::sort(found.begin(), found.end(), [](const Found& a, const Found& b) { return a.by_chance < b.by_chance; });
    std::vector<tones::UnitTone> chosen;
    for (Found& one : found) {
        const auto same = std::find_if(chosen.begin(), chosen.end(), [&](const tones::UnitTone& other) {
            return same_line(other.tone, one.tone.tone, p);
        });
        if (same == chosen.end()) {
            if (chosen.size() < most_faint) chosen.push_back(std::move(one.tone));
        } else if (std::none_of(same->heard_in.begin(), same->heard_in.end(),
                                [&](const tones::HeardIn& in) { return in.take == one.tone.heard_in[0].take; })) {
            join(*same, one.tone, p);
        }
    }
    return chosen;
}

}  // namespace

tones::Tone faint_tone(double hz, double hz_sd, double level_dbfs, const tones::Tones& found) {
    tones::Tone tone;
    tone.hz = tone.start_hz = tone.end_hz = hz;
    tone.hz_sd = hz_sd;
    tone.level_dbfs = level_dbfs;
    tone.tone_to_noise_db =
        level_dbfs - tones::floor_at(found, hz).noise_dbfs_per_hz - 10.0 * std::log10(tones::critical_bandwidth_hz(hz));
    // What it adds to its critical band, the neighbours being as loud as the noise.
    tone.prominence_db = base::power_to_db(1.0 + std::pow(10.0, 0.1 * tone.tone_to_noise_db));
    tone.prominent = tones::is_prominent(hz, tone.tone_to_noise_db, tone.prominence_db);
    tone.faint = true;
    return tone;
}

tones::UnitTones with_faint(const board::BoardSheet& sheet, tones::UnitTones unit, const MatchParameters& parameters) {
    if (std::all_of(unit.takes.begin(), unit.takes.end(),
                    [](const tones::Take& take) { return take.found.faint.empty(); }))
        return unit;
    std::vector<Found> found;
    for (const Source& source : sources_of(observe(&sheet, unit, parameters))) {
        if (source.rate < 0 || source.kind != SourceKind::fixed || !source.may_resonate) continue;
        const double reach = source.tolerance + CardGrid::reach_sds * parameters.card_sd_ppm * 1e-6;
        for (const ExpectedLine& line : source.lines)
            if (line.kind == board::LineKind::harmonic) add_found(source, line, unit, reach, parameters, found);
    }
    for (tones::UnitTone& tone : choose(std::move(found), parameters)) {
        tone.tone.log_noise_density += log_choices(tone, unit);
        unit.tones.push_back(std::move(tone));
    }
    tones::number_by_hz(unit.tones);
    return unit;
}

tones::UnitTones without_faint(tones::UnitTones unit, const std::vector<char>& kept) {
    std::vector<tones::UnitTone> left;
    for (std::size_t i = 0; i < unit.tones.size(); ++i)
        if (!unit.tones[i].tone.faint || kept[i]) left.push_back(std::move(unit.tones[i]));
    unit.tones = std::move(left);
    tones::number_by_hz(unit.tones);
    return unit;
}

}  // namespace tattletone::match
