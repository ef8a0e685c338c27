#include "match/singer.h"

#include <algorithm>
#include <cmath>

#include "match/gauss.h"

namespace tattletone {
namespace {

constexpr int most_families = 2;

double sideband_level_db(const MatchParameters& p, int order) {
    return p.sideband_level_db - p.sideband_fall_db * (std::abs(order) - 1);
}

const Rate& rate_of(const BoardSheet& sheet, int index) { return sheet.rates[static_cast<std::size_t>(index)]; }

void set_emission(Place& place, double probability) {
    std::fill(std::begin(place.emission), std::end(place.emission), probability);
}

Place place_of(const Scene& scene, const Setting& setting, const Line& line) {
    const MatchParameters& p = scene.parameters;
    const Rate& rate = setting.sheet.rates[static_cast<std::size_t>(line.rate)];
    const auto is_changed = [&](int index) {
        return rate_of(*scene.sheet, index).hz != rate_of(setting.sheet, index).hz;
    };
    Place place;
    place.takes = setting.takes;
    place.kind = line.kind;
    place.order = line.order;
    place.other = line.other;
    const double own = line.own_multiple * rate.hz;
    double other = 0.0;
    if (line.other >= 0) {
        const Rate& partner = rate_of(setting.sheet, line.other);
        other = line.other_multiple * partner.hz;
        const double partner_sd = 1e-6 * partner.tolerance_ppm / p.tolerance_sds;
        // The sound card's error moves both rates of a beat alike, so it cancels but for the beat's own share.
        if (line.kind == LineKind::beat)
            place.beat_sd = std::abs(other / own) * partner_sd;
        else
            place.extra_sd_hz = std::abs(other) * std::hypot(partner_sd, 1e-6 * p.card_sd_ppm);
        if (is_changed(line.other)) place.extra_sd_hz = std::hypot(place.extra_sd_hz, p.setting_sd * other);
    }
    if (is_changed(line.rate)) place.extra_sd_hz = std::hypot(place.extra_sd_hz, p.setting_sd * own);
    const double sum = own + other;
    double sign = sum < 0.0 ? -1.0 : 1.0;
    place.at_zero_hz = std::abs(sum);
    if (line.kind == LineKind::image) {
        const double fs = setting.sample_rate_hz;
        if (std::fmod(place.at_zero_hz, fs) > 0.5 * fs) sign = -sign;
        place.at_zero_hz = fold(place.at_zero_hz, fs);
    }
    place.slope_hz = sign * own;
    place.other_slope_hz = sign * other;
    switch (line.kind) {
        case LineKind::harmonic:
            for (int character = 0; character < drive_characters; ++character)
                place.emission[character] = harmonic_emission(p, rate.shape, character, line.order);
            place.envelope_db = harmonic_envelope_db(p, rate.shape, line.order);
            place.expected = true;
            break;
        case LineKind::subharmonic:
            set_emission(place, p.subharmonic);
            place.envelope_db = p.subharmonic_level_db;
            break;
        case LineKind::sideband:
            place.carrier = static_cast<int>(std::lround(line.own_multiple));
            set_emission(place, p.sideband / std::abs(line.order));
            place.envelope_db = harmonic_envelope_db(p, rate.shape, place.carrier) + sideband_level_db(p, line.order);
            break;
        case LineKind::image:
            set_emission(place, p.image / line.order);
            break;
        case LineKind::beat:
            set_emission(place, p.beat / line.order);
            break;
    }
    return place;
}

void add_place(Singer& singer, Place place) {
    const auto same = std::find_if(singer.places.begin(), singer.places.end(), [&](const Place& known) {
        return known.same_line(place) && known.at_zero_hz == place.at_zero_hz &&
               known.slope_hz == place.slope_hz && known.extra_sd_hz == place.extra_sd_hz;
    });
    if (same != singer.places.end())
        same->takes.add(place.takes);
    else
        singer.places.push_back(std::move(place));
}

Singer declared(const Scene& scene, int index) {
    const MatchParameters& p = scene.parameters;
    const Rate& rate = scene.sheet->rates[static_cast<std::size_t>(index)];
    Singer singer;
    singer.rate = index;
    singer.shape = rate.shape;
    singer.log_prior_odds = std::log(p.singing_prior / (1.0 - p.singing_prior));
    const CaseEvidence& evidence = scene.evidence;
    if (const auto learned = evidence.prior_odds_factor.find(rate.full_name);
        learned != evidence.prior_odds_factor.end())
        singer.log_prior_odds += std::log(std::clamp(learned->second, 1.0 / p.opinion_factor_limit, p.opinion_factor_limit));
    if (rate.part >= 0 && rate.part < static_cast<int>(scene.sheet->parts.size()))
        singer.spot = scene.sheet->parts[static_cast<std::size_t>(rate.part)].spot;
    for (std::size_t take = 0; take < scene.state.size(); ++take) {
        const int state = scene.state[take];
        const bool always = rate.active_in.empty();
        const bool off = scene.setting_of(take).off[static_cast<std::size_t>(index)];
        singer.active.push_back(off         ? 0.0
                                : always    ? 1.0
                                : state < 0 ? p.active_when_unsaid
                                            : (scene.sheet->active(rate, state) ? 1.0 : 0.0));
    }
    singer.prior = deviation_prior_of(rate, p, evidence);
    if (const auto seen = evidence.seen_in_trace.find(rate.full_name);
        seen != evidence.seen_in_trace.end())
        singer.log_prior_odds += std::log(seen->second.odds_factor);
    if (rate.wanders()) {
        singer.kind = SingerKind::wandering;
        singer.loose = true;
        return singer;
    }
    singer.tolerance = std::max(rate.tolerance_ppm, p.least_tolerance_ppm) * 1e-6;
    singer.loose = singer.tolerance >= p.loose_tolerance;
    singer.may_resonate = singer.tolerance < p.resonator_tolerance;
    for (const Setting& setting : scene.settings) {
        LineLimits limits = scene.limits;
        limits.sample_rate_hz = setting.sample_rate_hz;
        for (const Line& line : lines_of(setting.sheet, index, limits)) {
            if (line.other >= 0 && setting.off[static_cast<std::size_t>(line.other)]) continue;
            if (line.kind == LineKind::beat && rate_of(setting.sheet, line.other).wanders()) continue;
            const Place place = place_of(scene, setting, line);
            &setting == &scene.settings[0] ? singer.places.push_back(place) : add_place(singer, place);
        }
    }
    return singer;
}

Singer family(const Scene& scene) {
    const MatchParameters& p = scene.parameters;
    Singer singer;
    singer.kind = SingerKind::family;
    singer.loose = true;
    singer.log_prior_odds = std::log(p.family_prior / (1.0 - p.family_prior));
    singer.prior = {true, std::log(p.family_low_hz), std::log(p.family_high_hz)};
    singer.active.assign(scene.state.size(), 1.0);
    return singer;
}

}  // namespace

int Singer::place_in(const Place& place, std::size_t take) const {
    for (std::size_t i = 0; i < places.size(); ++i)
        if (places[i].same_line(place) && places[i].takes.has(take)) return static_cast<int>(i);
    return -1;
}

DeviationPrior deviation_prior_of(const Rate& rate, const MatchParameters& parameters,
                                  const CaseEvidence& evidence) {
    DeviationPrior prior;
    if (rate.wanders()) {
        prior.uniform = true;
        prior.low = std::log(rate.hz_min);
        prior.high = std::log(rate.hz_max);
    } else {
        const double tolerance = std::max(rate.tolerance_ppm, parameters.least_tolerance_ppm) * 1e-6;
        prior.cut_sds = parameters.tolerance_sds;
        prior.sd = tolerance / parameters.tolerance_sds;
        prior.outside_mass = parameters.outside_mass;
        prior.outside_sd = std::max(parameters.outside_sd, parameters.outside_least_tolerances * tolerance);
    }
    if (const auto seen = evidence.seen_in_trace.find(rate.full_name);
        seen != evidence.seen_in_trace.end()) {
        prior.seen_mass = seen->second.mass;
        prior.seen_x = seen->second.x;
        prior.seen_sd = seen->second.sd;
    }
    return prior;
}

std::vector<Singer> singers_of(const Scene& scene) {
    std::vector<Singer> singers;
    if (scene.sheet)
        for (int i = 0; i < static_cast<int>(scene.sheet->rates.size()); ++i)
            singers.push_back(declared(scene, i));
    for (int i = 0; i < most_families; ++i) singers.push_back(family(scene));
    return singers;
}

double harmonic_emission(const MatchParameters& p, Shape shape, int character, int n) {
    switch (shape) {
        case Shape::pulse: return p.pulse_emission * std::pow(n, character == 0 ? -p.pulse_fall : -p.soft_pulse_fall);
        case Shape::square: return n % 2 == 1 ? p.square_odd : character == 0 ? p.square_even : p.uneven_square_even;
        case Shape::sine: return n == character + 1 ? p.sine_strong : n <= 2 ? p.sine_weak : p.sine_rest;
    }
    return 0.0;
}

double harmonic_envelope_db(const MatchParameters& p, Shape shape, int n) {
    const double octaves = std::log2(n);
    switch (shape) {
        case Shape::pulse: return -p.pulse_db_per_octave * octaves;
        case Shape::square: return -p.square_db_per_octave * octaves;
        // 2f is the whole sound where the mechanism follows the square: it is not below the fundamental.
        case Shape::sine: return n <= 2 ? 0.0 : -p.sine_db_per_octave * octaves;
    }
    return 0.0;
}

Movement movement_of(const MatchParameters& p, const Singer& singer) {
    double steady = p.crystal_steady;
    if (singer.kind == SingerKind::wandering) steady = p.wandering_steady;
    if (singer.kind == SingerKind::family) steady = p.background_steady;
    if (singer.kind == SingerKind::fixed && singer.loose) steady = singer.may_resonate ? p.resonator_steady : p.rc_steady;
    return {std::log(steady), std::log(1.0 - steady)};
}

namespace {

/// How far an oscillator's frequency goes in one recording, relative: ln of it is normal, with a
/// spread of its own on either side of the middle.
struct Pace {
    double middle, below, above, unsure_limit;
};

Pace pace_of_strays(const MatchParameters& p) {
    return {p.stray_pace, p.stray_pace_spread, p.stray_pace_spread, p.pace_unsure_limit};
}

Pace pace_of(const MatchParameters& p, const Singer& singer) {
    if (singer.kind == SingerKind::wandering)
        return {p.converter_pace, p.converter_pace_spread, p.converter_pace_spread, p.pace_unsure_limit};
    return {p.rc_drift, p.rc_pace_spread_below, p.rc_pace_spread_above, p.pace_unsure_limit};
}

double log_density(const Pace& pace, double movement, double movement_sd) {
    const double unsure = std::min(movement_sd / std::max(movement, 1e-12), pace.unsure_limit);
    const double below = std::hypot(pace.below, unsure), above = std::hypot(pace.above, unsure);
    const double distance = std::log(std::max(movement, 1e-9) / pace.middle);
    const double z = distance / (distance < 0.0 ? below : above);
    return -0.5 * z * z - std::log(0.5 * (below + above)) - log_root_two_pi;
}

double log_either(const SceneTone& tone, double second_share, double first_sd, double second_sd) {
    return log_add(std::log(1.0 - second_share) +
                       log_normal_density(tone.drift, 0.0, std::hypot(tone.drift_sd, first_sd)),
                   std::log(second_share) +
                       log_normal_density(tone.drift, 0.0, std::hypot(tone.drift_sd, second_sd)));
}

/// How far a steady line goes: what the recorder's own clock makes of a crystal's.
double log_still(const MatchParameters& p, const SceneTone& tone) {
    return log_either(tone, p.recorder_share, p.still_drift, p.recorder_drift);
}

/// And one that drifts.
double log_drifting(const MatchParameters& p, const SceneTone& tone) {
    return log_either(tone, p.far_drift_share, p.slow_drift, p.far_drift);
}

}  // namespace

Movement log_found(const MatchParameters& p, const Singer& singer, const SceneTone& tone) {
    const double finder_overlooks = singer.kind == SingerKind::fixed && singer.loose ? p.finder_overlooks_rc : p.finder_overlooks;
    if (tone.steady) {
        Movement found{std::log(1.0 - p.finder_errs), std::log(finder_overlooks)};
        if (tone.drift_sd <= 0.0 || singer.kind == SingerKind::family) return found;
        // Against a stray, most of which are a crystal's too.
        const double stray = log_add(std::log(1.0 - p.drifting_share) + log_still(p, tone),
                                     std::log(p.drifting_share) + log_drifting(p, tone));
        found.log_steady += log_still(p, tone) - stray;
        found.log_moving += log_drifting(p, tone) - stray;
        return found;
    }
    // A weak line's path may move by no more than its own uncertainty.
    const bool may_rest = tone.restless < p.may_rest_sds * tone.restless_sd;
    double log_plausible = 0.0;
    if (singer.kind != SingerKind::family && singer.loose) {
        log_plausible = std::max(log_density(pace_of(p, singer), tone.restless, tone.restless_sd) -
                                     log_density(pace_of_strays(p), tone.restless, tone.restless_sd),
                                 std::log(p.beyond_pace));
    } else if (singer.kind == SingerKind::fixed) {
        const double z = tone.restless / std::hypot(std::max(p.crystal_restless, p.tolerance_restless * singer.tolerance), tone.restless_sd);
        log_plausible = std::log(std::exp(-0.5 * z * z) + p.beyond_pace);
    }
    return {std::log(may_rest ? p.finder_unsure : p.finder_errs) + log_plausible, std::log(1.0 - finder_overlooks) + log_plausible};
}

double log_same_drift(const MatchParameters& p, const SceneTone& anchor, const SceneTone& tone) {
    const double sd = std::hypot(anchor.drift_sd, tone.drift_sd, p.same_drift + p.same_drift_share * std::abs(anchor.drift));
    return log_normal_density(tone.drift, anchor.drift, sd) - log_drifting(p, tone);
}

}  // namespace tattletone
