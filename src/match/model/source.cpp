#include "match/model/source.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "match/model/card_grid.h"
#include "match/model/gauss.h"

namespace tattletone::match {
namespace {

constexpr int most_families = 4;

double sideband_level_db(const MatchParameters& p, int order) {
    return p.sideband_level_db - p.sideband_fall_db * (std::abs(order) - 1);
}

const board::Rate& rate_of(const board::BoardSheet& sheet, int index) {
    return sheet.rates[static_cast<std::size_t>(index)];
}

void set_emission(ExpectedLine& line, double probability) {
    std::fill(std::begin(line.emission), std::end(line.emission), probability);
}

ExpectedLine line_of(const Observations& observations, const Setting& setting, const board::Line& emitted) {
    const MatchParameters& p = observations.parameters;
    const board::Rate& rate = setting.sheet.rates[static_cast<std::size_t>(emitted.rate)];
    const auto is_changed = [&](int index) {
        return rate_of(*observations.sheet, index).hz != rate_of(setting.sheet, index).hz;
    };
    ExpectedLine line;
    line.takes = setting.takes;
    line.kind = emitted.kind;
    line.order = emitted.order;
    line.other = emitted.other;
    const double own = emitted.own_multiple * rate.hz;
    double other = 0.0;
    if (emitted.other >= 0) {
        const board::Rate& partner = rate_of(setting.sheet, emitted.other);
        other = emitted.other_multiple * partner.hz;
        const double partner_sd = 1e-6 * partner.tolerance_ppm / p.tolerance_sds;
        // The sound card's error moves both rates of a beat alike, so it cancels but for the beat's own share.
        if (board::about(emitted.kind).partner == board::Partner::equal)
            line.beat_sd = std::abs(other / own) * partner_sd;
        else
            line.extra_sd_hz = std::abs(other) * std::hypot(partner_sd, 1e-6 * p.card_sd_ppm);
        if (is_changed(emitted.other))
            line.extra_sd_hz = std::hypot(line.extra_sd_hz, setting.set_sd(emitted.other, 0, p) * other);
    }
    if (is_changed(emitted.rate))
        line.extra_sd_hz = std::hypot(
            line.extra_sd_hz,
            setting.set_sd(emitted.rate, emitted.kind == board::LineKind::harmonic ? emitted.order : 0, p) * own);
    const double sum = own + other;
    double sign = sum < 0.0 ? -1.0 : 1.0;
    line.at_zero_hz = std::abs(sum);
    if (board::about(emitted.kind).folds) {
        const double fs = setting.sample_rate_hz;
        if (std::fmod(line.at_zero_hz, fs) > 0.5 * fs) sign = -sign;
        line.at_zero_hz = board::fold(line.at_zero_hz, fs);
    }
    line.slope_hz = sign * own;
    line.other_slope_hz = sign * other;
    switch (emitted.kind) {
        case board::LineKind::harmonic:
            for (int character = 0; character < drive_characters; ++character)
                line.emission[character] = harmonic_emission(p, rate.shape, character, emitted.order);
            line.envelope_db = harmonic_envelope_db(p, rate.shape, emitted.order);
            line.expected = true;
            break;
        case board::LineKind::subharmonic:
            set_emission(line, p.subharmonic);
            line.envelope_db = p.subharmonic_level_db;
            break;
        case board::LineKind::sideband:
            line.carrier = static_cast<int>(std::lround(emitted.own_multiple));
            set_emission(line, p.sideband / std::abs(emitted.order));
            line.envelope_db = harmonic_envelope_db(p, rate.shape, line.carrier) + sideband_level_db(p, emitted.order);
            break;
        case board::LineKind::image:
            set_emission(line, p.image / emitted.order);
            break;
        case board::LineKind::beat:
            set_emission(line, p.beat / emitted.order);
            break;
    }
    return line;
}

void add_line(Source& source, ExpectedLine line) {
    const auto same = std::find_if(source.lines.begin(), source.lines.end(), [&](const ExpectedLine& known) {
        return known.same_line(line) && known.at_zero_hz == line.at_zero_hz && known.slope_hz == line.slope_hz &&
               known.extra_sd_hz == line.extra_sd_hz;
    });
    if (same != source.lines.end())
        same->takes.add(line.takes);
    else
        source.lines.push_back(std::move(line));
}

/// Lines of its combs that are too high to be compared one by one.
void add_combs(const Observations& observations, int index, Source& source) {
    for (const Comb& comb : observations.combs) {
        if (comb.rate != index) continue;
        source.combs.push_back(comb);
        const Setting& setting = observations.setting_of(static_cast<std::size_t>(comb.take));
        for (const CombLine& at : comb.lines) {
            if (at.order <= board::most_order) continue;
            ExpectedLine line;
            line.order = at.order;
            line.at_zero_hz = line.slope_hz = at.order * rate_of(setting.sheet, index).hz;
            line.takes = setting.takes;
            set_emission(line, 1.0);
            source.lines.push_back(line);
        }
    }
}

Source declared(const Observations& observations, int index) {
    const MatchParameters& p = observations.parameters;
    const board::Rate& rate = observations.sheet->rates[static_cast<std::size_t>(index)];
    Source source;
    source.rate = index;
    source.shape = rate.shape;
    source.from_room = p.far_astray;
    source.log_prior_odds = std::log(p.singing_prior / (1.0 - p.singing_prior));
    const CaseEvidence& evidence = observations.evidence;
    if (const auto learned = evidence.prior_odds_factor.find(rate.full_name);
        learned != evidence.prior_odds_factor.end())
        source.log_prior_odds +=
            std::log(std::clamp(learned->second, 1.0 / p.opinion_factor_limit, p.opinion_factor_limit));
    if (rate.part >= 0 && rate.part < static_cast<int>(observations.sheet->parts.size()))
        source.spot = observations.sheet->parts[static_cast<std::size_t>(rate.part)].spot;
    for (std::size_t take = 0; take < observations.state.size(); ++take) {
        const int state = observations.state[take];
        const bool always = rate.active_in.empty();
        const bool off = observations.setting_of(take).off[static_cast<std::size_t>(index)];
        source.active.push_back(off         ? 0.0
                                : always    ? 1.0
                                : state < 0 ? p.active_when_unsaid
                                            : (observations.sheet->active(rate, state) ? 1.0 : 0.0));
    }
    source.prior = deviation_prior_of(rate, p, evidence);
    source.steady_share = p.crystal_steady;
    if (const auto pulsed = evidence.pulse_odds.find(rate.full_name); pulsed != evidence.pulse_odds.end())
        source.log_prior_odds += std::log(pulsed->second);
    if (std::find(evidence.trial_heard.begin(), evidence.trial_heard.end(), rate.full_name) !=
        evidence.trial_heard.end())
        source.log_prior_odds += std::log(p.trial_line_odds);
    if (const auto seen = evidence.seen_in_trace.find(rate.full_name); seen != evidence.seen_in_trace.end())
        source.log_prior_odds += std::log(seen->second.odds_factor);
    if (rate.wanders()) {
        source.kind = SourceKind::wandering;
        source.loose = true;
        source.steady_share = p.wandering_steady;
        return source;
    }
    source.tolerance = std::max(rate.tolerance_ppm, p.least_tolerance_ppm) * 1e-6;
    source.loose = source.tolerance >= p.loose_tolerance;
    source.may_resonate = source.tolerance < p.resonator_tolerance;
    if (source.loose) source.steady_share = source.may_resonate ? p.resonator_steady : p.rc_steady;
    for (const Setting& setting : observations.settings) {
        board::LineLimits limits = observations.limits;
        limits.sample_rate_hz = setting.sample_rate_hz;
        for (const board::Line& emitted : board::lines_of(setting.sheet, index, limits)) {
            if (emitted.other >= 0 && setting.off[static_cast<std::size_t>(emitted.other)]) continue;
            if (board::about(emitted.kind).partner == board::Partner::equal &&
                rate_of(setting.sheet, emitted.other).wanders())
                continue;
            const ExpectedLine line = line_of(observations, setting, emitted);
            &setting == &observations.settings[0] ? source.lines.push_back(line) : add_line(source, line);
        }
    }
    add_combs(observations, index, source);
    return source;
}

double log_odds(double probability) {
    return std::log(probability / (1.0 - probability));
}

Source family(const Observations& observations, Neighbour neighbour) {
    const MatchParameters& p = observations.parameters;
    const bool machine = neighbour == Neighbour::machine;
    Source source;
    source.kind = SourceKind::family;
    source.neighbour = neighbour;
    source.fewest_tones = 2;
    source.loose = true;
    source.log_prior_odds = log_odds(!machine                  ? p.family_prior
                                     : observations.room_given ? p.machine_prior
                                                               : p.machine_prior_unheard);
    source.steady_share = machine ? p.machine_steady : p.background_steady;
    source.from_room = 1.0 - (neighbour == Neighbour::family ? p.far_beside : p.far_beside_machine);
    source.prior = {true, std::log(p.family_low_hz), std::log(p.family_high_hz)};
    source.active.assign(observations.state.size(), 1.0);
    if (!machine)
        for (const Comb& comb : observations.combs)
            if (comb.rate < 0 && comb.mains_hz <= 0.0) source.combs.push_back(comb);
    return source;
}

/// Multiples of the grid, or where `rectified` of twice that. Where its low ones were heard they tell the frequency,
/// and one more of them is enough.
Source mains(const Observations& observations, const MainsHeard& heard, bool rectified) {
    const MatchParameters& p = observations.parameters;
    Source source = family(observations, Neighbour::mains);
    source.mains_hz = heard.hz;
    source.mains_heard = heard.heard;
    source.steady_share = p.mains_steady;
    source.log_prior_odds = log_odds(heard.heard ? p.mains_heard_prior : p.mains_prior);
    const double reach = heard.heard ? p.mains_sds * p.mains_change_ppm * 1e-6 : p.mains_reach;
    const double middle = std::log(heard.hz * (rectified ? 2.0 : 1.0));
    source.prior = {true, middle - reach, middle + reach};
    source.combs.clear();
    for (const Comb& comb : observations.combs)
        if (comb.mains_hz > 0.0 && comb.x > middle - reach && comb.x < middle + reach) source.combs.push_back(comb);
    if (heard.heard) source.fewest_tones = 1;
    return source;
}

bool was_off(const Observations& observations, int rate) {
    return std::any_of(observations.settings.begin(), observations.settings.end(),
                       [&](const Setting& setting) { return setting.off[static_cast<std::size_t>(rate)] != 0; });
}

/// A tone that did not fall may be of another board of the kind, where it is near a harmonic of the rate.
bool some_are_of_the_room(const Observations& observations, const Source& declared) {
    const MatchParameters& p = observations.parameters;
    const board::Rate& rate = rate_of(*observations.sheet, declared.rate);
    return std::any_of(observations.tones.begin(), observations.tones.end(), [&](const ObservedTone& tone) {
        const FarEvidence* const fall = observations.fall_of(tone);
        if (!fall || log_fall({&fall, 1}, 1.0) < log_fall({&fall, 1}, 0.0) + std::numbers::ln2) return false;
        if (rate.wanders()) return tone.hz > rate.hz_min;
        const double reach = declared.tolerance + CardGrid::reach_sds * 1e-6 * p.card_sd_ppm;
        const double order = std::round(tone.hz / rate.hz);
        return order >= 1.0 && std::abs(tone.hz / (order * rate.hz) - 1.0) < reach;
    });
}

/// What sounds like the rate that was off, and was not; or like one that did not fall when the microphone moved away.
/// Its beats and sidebands with other rates are left to those.
Source twin(const Observations& observations, const Source& declared) {
    const MatchParameters& p = observations.parameters;
    const bool of_the_board = was_off(observations, declared.rate);
    Source source = declared;
    source.twin_of = source.rate;
    source.rate = -1;
    source.neighbour = Neighbour::twin;
    source.log_prior_odds = log_odds(of_the_board ? p.twin_prior : p.far_twin_prior);
    source.in_room = !of_the_board;
    source.from_room = 1.0 - (of_the_board ? p.far_beside : p.far_beside_machine);
    source.spot.clear();
    source.combs.clear();
    std::erase_if(source.lines, [](const ExpectedLine& line) { return line.other >= 0; });
    source.active.assign(observations.state.size(), 1.0);
    return source;
}

}  // namespace

int Source::line_in(const ExpectedLine& line, std::size_t take) const {
    for (std::size_t i = 0; i < lines.size(); ++i)
        if (lines[i].same_line(line) && lines[i].takes.has(take)) return static_cast<int>(i);
    return -1;
}

std::vector<Source> sources_of(const Observations& observations) {
    std::vector<Source> sources;
    const int rates = observations.sheet ? static_cast<int>(observations.sheet->rates.size()) : 0;
    for (int i = 0; i < rates; ++i) sources.push_back(declared(observations, i));
    for (int i = 0; i < rates; ++i) {
        const Source source = sources[static_cast<std::size_t>(i)];
        if (was_off(observations, i) || some_are_of_the_room(observations, source))
            sources.push_back(twin(observations, source));
    }
    for (const MainsHeard& heard : observations.mains)
        for (const bool rectified : {false, true}) sources.push_back(mains(observations, heard, rectified));
    sources.push_back(family(observations, Neighbour::machine));
    for (int i = 0; i < most_families; ++i) sources.push_back(family(observations, Neighbour::family));
    return sources;
}

double harmonic_emission(const MatchParameters& p, board::Shape shape, int character, int n) {
    switch (shape) {
        case board::Shape::pulse:
            return p.pulse_emission * std::pow(n, character == 0 ? -p.pulse_fall : -p.soft_pulse_fall);
        case board::Shape::square:
            return n % 2 == 1 ? p.square_odd : character == 0 ? p.square_even : p.uneven_square_even;
        case board::Shape::sine:
            return n == character + 1 ? p.sine_strong : n <= 2 ? p.sine_weak : p.sine_rest;
    }
    return 0.0;
}

double harmonic_envelope_db(const MatchParameters& p, board::Shape shape, int n) {
    const double octaves = std::log2(n);
    switch (shape) {
        case board::Shape::pulse:
            return -p.pulse_db_per_octave * octaves;
        case board::Shape::square:
            return -p.square_db_per_octave * octaves;
        // 2f is the whole sound where the mechanism follows the square: it is not below the fundamental.
        case board::Shape::sine:
            return n <= 2 ? 0.0 : -p.sine_db_per_octave * octaves;
    }
    return 0.0;
}

Movement movement_of(const Source& source) {
    return {std::log(source.steady_share), std::log(1.0 - source.steady_share)};
}

namespace {

/// How far an oscillator's frequency goes in one recording, relative: ln of it is normal, with a spread of its own on
/// either side of the middle.
struct Pace {
    double middle, below, above, unsure_limit;
};

Pace pace_of_strays(const MatchParameters& p) {
    return {p.stray_pace, p.stray_pace_spread, p.stray_pace_spread, p.pace_unsure_limit};
}

Pace pace_of(const MatchParameters& p, const Source& source) {
    if (source.kind == SourceKind::wandering || source.neighbour == Neighbour::machine)
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

double log_either(const ObservedTone& tone, double second_share, double first_sd, double second_sd) {
    return log_add(
        std::log(1.0 - second_share) + log_normal_density(tone.drift, 0.0, std::hypot(tone.drift_sd, first_sd)),
        std::log(second_share) + log_normal_density(tone.drift, 0.0, std::hypot(tone.drift_sd, second_sd)));
}

/// How far a steady line goes: what the recorder's own clock makes of a crystal's.
double log_still(const MatchParameters& p, const ObservedTone& tone) {
    return log_either(tone, p.recorder_share, p.still_drift, p.recorder_drift);
}

/// And one that drifts.
double log_drifting(const MatchParameters& p, const ObservedTone& tone) {
    return log_either(tone, p.far_drift_share, p.slow_drift, p.far_drift);
}

}  // namespace

Movement log_found(const MatchParameters& p, const Source& source, const ObservedTone& tone) {
    const double finder_overlooks = source.kind == SourceKind::family                  ? p.finder_overlooks_family
                                    : source.kind == SourceKind::fixed && source.loose ? p.finder_overlooks_rc
                                                                                       : p.finder_overlooks;
    if (tone.steady) {
        Movement found{std::log(1.0 - p.finder_errs), std::log(finder_overlooks)};
        if (tone.drift_sd <= 0.0) return found;
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
    if ((source.kind != SourceKind::family && source.loose) || source.neighbour == Neighbour::machine) {
        log_plausible = std::max(log_density(pace_of(p, source), tone.restless, tone.restless_sd) -
                                     log_density(pace_of_strays(p), tone.restless, tone.restless_sd),
                                 std::log(p.beyond_pace));
    } else if (source.kind == SourceKind::fixed) {
        const double z =
            tone.restless /
            std::hypot(std::max(p.crystal_restless, p.tolerance_restless * source.tolerance), tone.restless_sd);
        log_plausible = std::log(std::exp(-0.5 * z * z) + p.beyond_pace);
    }
    return {std::log(may_rest ? p.finder_unsure : p.finder_errs) + log_plausible,
            std::log(1.0 - finder_overlooks) + log_plausible};
}

double log_same_drift(const MatchParameters& p, const ObservedTone& anchor, const ObservedTone& tone) {
    const double sd =
        std::hypot(anchor.drift_sd, tone.drift_sd, p.same_drift + p.same_drift_share * std::abs(anchor.drift));
    return log_normal_density(tone.drift, anchor.drift, sd) - log_drifting(p, tone);
}

}  // namespace tattletone::match
