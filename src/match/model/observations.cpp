#include "match/model/observations.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "match/model/gauss.h"

namespace tattletone::match {
namespace {

constexpr double samples_per_octave = 24.0;

double interpolated(const std::vector<tones::FloorPoint>& floor, double hz, double tones::FloorPoint::*value) {
    const auto right = std::lower_bound(floor.begin(), floor.end(), hz,
                                        [](const tones::FloorPoint& point, double at) { return point.hz < at; });
    if (right == floor.begin()) return floor.front().*value;
    if (right == floor.end()) return floor.back().*value;
    const auto left = right - 1;
    const double part = std::log(hz / left->hz) / std::log(right->hz / left->hz);
    return (*left).*value + part * ((*right).*value - (*left).*value);
}

ObservedTone view_of(const tones::UnitTone& unit_tone, const std::vector<tones::Take>& takes,
                     const MatchParameters& p) {
    const tones::Tone& tone = unit_tone.tone;
    ObservedTone view;
    view.hz = tone.hz;
    view.sd_hz = std::max(tone.hz_sd, 1e-9 * tone.hz);
    view.faint = tone.faint;
    view.comb = tone.comb;
    view.log_noise_density = tone.log_noise_density;
    view.product_hz = tone.product_hz;
    view.product_hz_sd = tone.product_hz_sd;
    view.of_board = tone.origin == tones::Origin::board && !tone.faint;
    view.accuses = tone.origin == tones::Origin::board || tone.origin == tones::Origin::unsure;
    view.steady = tone.steady;
    if (tone.start_hz > 0.0 && tone.end_hz > 0.0) view.drift = std::log(tone.end_hz / tone.start_hz);
    if (tone.drift_hz_sd > 0.0) {
        view.drift = tone.drift_hz / tone.hz;
        view.drift_sd = tone.drift_hz_sd / tone.hz;
    }
    if (tone.steady && tone.present < p.whole_from && !tone.faint) view.piece_sd_hz = p.piece_share * tone.hz;
    if (!tone.steady) {
        view.restless = std::max(std::abs(view.drift), 2.0 * tone.wander_hz / tone.hz);
        // Each end of a path comes from a fifth of it, so it is some four times less certain than the mean.
        view.restless_sd = p.restless_sds * tone.hz_sd / tone.hz;
        // The mean over the time in which a tone is seen depends on when it is seen.
        const double unseen = std::max(p.moving_mean_share, p.moving_unseen_share * (1.0 - tone.present));
        view.sd_hz = std::hypot(view.sd_hz, unseen * view.restless * tone.hz);
    }
    view.heard.assign(takes.size(), Heard::cannot_tell);
    view.below_dbfs.assign(takes.size(), 0.0);
    double level = 0.0, shortest = p.coherent_seconds;
    int times = 0;
    for (const tones::HeardIn& in : unit_tone.heard_in) {
        const auto take = static_cast<std::size_t>(in.take);
        view.heard[take] = in.heard ? Heard::yes : Heard::no;
        view.below_dbfs[take] = in.below_dbfs;
        if (!in.heard) continue;
        level += in.level_dbfs;
        ++times;
        shortest = std::min(shortest, std::max(takes[take].found.seconds, 0.5));
    }
    view.mains_multiple = tone.mains_multiple;
    view.mains_hz = tone.mains_hz;
    view.level_dbfs = times > 0 ? level / times : tone.level_dbfs;
    view.hide_hz = tone.faint ? 0.0 : std::max({p.hide_least_hz, p.hide_cycles / shortest, p.hide_sds * view.sd_hz});
    return view;
}

bool same_setting(const Setting& a, const Setting& b) {
    if (a.sample_rate_hz != b.sample_rate_hz || a.off != b.off) return false;
    for (std::size_t i = 0; i < a.sheet.rates.size(); ++i)
        if (a.sheet.rates[i].hz != b.sheet.rates[i].hz) return false;
    return true;
}

Setting setting_during(const board::BoardSheet* sheet, const tones::Take& take) {
    Setting setting;
    setting.sample_rate_hz = take.found.sample_rate_hz;
    if (!sheet) return setting;
    setting.sheet = *sheet;
    setting.off.assign(sheet->rates.size(), 0);
    for (const tones::Change& change : take.changes)
        for (std::size_t i = 0; i < sheet->rates.size(); ++i) {
            const board::Rate& rate = sheet->rates[i];
            const bool own = rate.full_name == change.what;
            const bool of_part = rate.part >= 0 && rate.part < static_cast<int>(sheet->parts.size()) &&
                                 sheet->parts[static_cast<std::size_t>(rate.part)].id == change.what;
            if (change.hz <= 0.0 && (own || of_part)) setting.off[i] = 1;
            if (change.hz > 0.0 && own && !rate.wanders()) setting.sheet.rates[i].hz = change.hz;
        }
    return setting;
}

/// The grids that takes tell of; both where none does.
std::vector<MainsHeard> mains_in(const tones::UnitTones& unit, const MatchParameters& p) {
    std::vector<MainsHeard> heard;
    for (const double nominal_hz : {50.0, 60.0}) {
        const auto tells = std::find_if(unit.tones.begin(), unit.tones.end(), [&](const tones::UnitTone& tone) {
            return std::abs(tone.tone.mains_hz / nominal_hz - 1.0) < p.mains_reach;
        });
        if (tells != unit.tones.end()) heard.push_back({tells->tone.mains_hz, true});
    }
    return heard.empty() ? std::vector<MainsHeard>{{50.0, false}, {60.0, false}} : heard;
}

// What a toggle plan's trial says of the tone, by the part that might make it.
void tell_trial(const Observations& observations, ObservedTone& tone) {
    const MatchParameters& p = observations.parameters;
    const auto tried = std::find_if(observations.evidence.trial.begin(), observations.evidence.trial.end(),
                                    [&](const TriedTone& one) { return one.hz == tone.hz; });
    if (observations.sheet == nullptr || tried == observations.evidence.trial.end()) return;
    const auto names = [](const std::vector<std::string>& parts, const board::Part& part) {
        return std::find(parts.begin(), parts.end(), part.id) != parts.end();
    };
    for (const board::Part& part : observations.sheet->parts) {
        double factor = tried->driven_by.empty() || names(tried->driven_by, part) ? 1.0 : p.trial_other_part;
        if (names(tried->not_made_by, part)) factor = std::min(factor, p.trial_stays_on);
        tone.trial_by_part.push_back(std::log(factor));
    }
    if (!tried->driven_by.empty()) tone.trial_undeclared = std::log(p.trial_undeclared);
}

}  // namespace

Thresholds::Thresholds(const tones::Tones& found) {
    if (found.floor.empty() || !(found.usable.high_hz > found.usable.low_hz)) return;
    low_hz_ = std::max(found.usable.low_hz, 1.0);
    high_hz_ = found.usable.high_hz;
    log_low_ = std::log(low_hz_);
    steps_per_log_ = samples_per_octave / std::numbers::ln2;
    const auto count = static_cast<std::size_t>(std::log(high_hz_ / low_hz_) * steps_per_log_) + 2;
    for (std::size_t i = 0; i < count; ++i) {
        const double hz = std::exp(log_low_ + static_cast<double>(i) / steps_per_log_);
        steady_.push_back(static_cast<float>(interpolated(found.floor, hz, &tones::FloorPoint::steady_above_dbfs)));
        wandering_.push_back(
            static_cast<float>(interpolated(found.floor, hz, &tones::FloorPoint::wandering_above_dbfs)));
    }
}

double Thresholds::above_dbfs(double hz, bool wandering) const {
    const auto& curve = wandering ? wandering_ : steady_;
    const double at = std::max(0.0, (std::log(hz) - log_low_) * steps_per_log_);
    const auto index = std::min(static_cast<std::size_t>(at), curve.size() - 2);
    const double part = std::min(at - static_cast<double>(index), 1.0);
    return curve[index] + part * (curve[index + 1] - curve[index]);
}

bool Observations::lowest_threshold(double hz, bool wandering, const TakeSet& takes, double& dbfs) const {
    bool any = false;
    for (std::size_t take = 0; take < thresholds.size(); ++take) {
        if (!takes.has(take) || !thresholds[take].can_tell(hz)) continue;
        const double above = thresholds[take].above_dbfs(hz, wandering);
        if (!any || above < dbfs) dbfs = above;
        any = true;
    }
    return any;
}

const Setting& Observations::setting_of(std::size_t take) const {
    return *std::find_if(settings.begin(), settings.end(),
                         [&](const Setting& setting) { return setting.takes.has(take); });
}

Observations observe(const board::BoardSheet* sheet, const tones::UnitTones& unit, const MatchParameters& parameters,
                     const CaseEvidence& evidence, const SearchLimits& search) {
    Observations observations;
    observations.sheet = sheet;
    observations.parameters = parameters;
    observations.evidence = evidence;
    observations.search = search;
    observations.limits = {20000.0, 40.0, 0.0};
    bool several_spots = false;
    const std::size_t takes = unit.takes.size();
    observations.all_takes = TakeSet::first(takes);
    for (std::size_t i = 0; i < takes; ++i) {
        const tones::Take& take = unit.takes[i];
        observations.thresholds.emplace_back(take.found);
        observations.take_seconds.push_back(std::max(take.found.seconds, 0.5));
        observations.state.push_back(sheet && !take.state.empty() ? sheet->state_index(take.state) : -1);
        if (take.found.usable.high_hz > take.found.usable.low_hz) {
            observations.limits.low_hz = std::min(observations.limits.low_hz, take.found.usable.low_hz);
            observations.limits.high_hz = std::max(observations.limits.high_hz, take.found.usable.high_hz);
        }
        several_spots = several_spots || take.spot != unit.takes[0].spot;
        Setting setting = setting_during(sheet, take);
        auto known = std::find_if(observations.settings.begin(), observations.settings.end(),
                                  [&](const Setting& other) { return same_setting(other, setting); });
        if (known == observations.settings.end()) known = observations.settings.insert(known, std::move(setting));
        known->takes.add(i);
    }
    observations.level_sd_db = several_spots ? parameters.spot_scatter_db : parameters.take_scatter_db;
    if (takes < 2) observations.level_sd_db = 0.0;
    const auto unsure = std::count_if(unit.tones.begin(), unit.tones.end(), [](const tones::UnitTone& tone) {
        return tone.tone.origin == tones::Origin::unsure && tone.tone.product_hz <= 0.0;
    });
    const auto products = std::count_if(unit.tones.begin(), unit.tones.end(),
                                        [](const tones::UnitTone& tone) { return tone.tone.product_hz > 0.0; });
    const bool crowded = static_cast<double>(products) > parameters.unsure_limit;
    observations.unsure = static_cast<double>(unsure);
    observations.mains_buzz =
        static_cast<double>(std::count_if(unit.tones.begin(), unit.tones.end(), [&](const tones::UnitTone& tone) {
            return tone.tone.origin == tones::Origin::mains && tone.tone.hz > parameters.low_band_hz;
        }));
    const bool drowned = static_cast<double>(unsure) > parameters.unsure_limit;
    if (drowned) observations.unsure_spared = static_cast<int>(unsure);
    const auto swinging = std::count_if(unit.tones.begin(), unit.tones.end(),
                                        [](const tones::UnitTone& tone) { return tone.swing.has_value(); });
    // Hands, loads and gain controls move the levels of several lines alike.
    const double swing_weight = 1.0 / std::sqrt(std::max(1.0, static_cast<double>(swinging)));
    for (const tones::UnitTone& tone : unit.tones) {
        observations.tones.push_back(view_of(tone, unit.takes, parameters));
        // The crumbs of a voice or of music explain nothing and would drown the search.
        if (drowned && !observations.tones.back().of_board && !tone.tone.faint)
            observations.tones.back().accuses = false;
        // What is left of a recording that clipping filled are the tones that it was made of.
        if (crowded && tone.tone.product_hz > 0.0) observations.tones.back().accuses = false;
        if (ObservedTone& view = observations.tones.back(); (tone.far_fall || tone.swing) && view.accuses) {
            view.fall = static_cast<int>(observations.falls.size());
            observations.falls.push_back(far_evidence(tone, swing_weight, parameters));
        }
        tell_trial(observations, observations.tones.back());
        observations.spots.push_back(compare_spots(unit, tone, parameters.take_scatter_db));
    }
    observations.mains = mains_in(unit, parameters);
    observations.room_given = unit.room_given;
    observations.room_lines = unit.room_lines;
    count_mains_sides(observations);
    set_clutter(observations, 1.0);
    return observations;
}

}  // namespace tattletone::match
