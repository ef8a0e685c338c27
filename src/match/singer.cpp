#include "match/singer.h"

#include <algorithm>
#include <cmath>

namespace tattletone {
namespace {

constexpr double loose_tolerance = 0.005;
constexpr double family_low_hz = 50.0, family_high_hz = 20000.0;
constexpr int most_families = 2;

double sideband_level_db(int order) { return -8.0 - 6.0 * (std::abs(order) - 1); }

void set_emission(Place& place, double probability) {
    std::fill(std::begin(place.emission), std::end(place.emission), probability);
}

Place place_of(const Scene& scene, const Rate& rate, const Line& line) {
    const MatchParameters& p = scene.parameters;
    Place place;
    place.kind = line.kind;
    place.order = line.order;
    place.other = line.other;
    const double own = line.own_multiple * rate.hz;
    double other = 0.0;
    if (line.other >= 0) {
        const Rate& partner = scene.sheet->rates[static_cast<std::size_t>(line.other)];
        other = line.other_multiple * partner.hz;
        place.extra_sd_hz =
            std::abs(other) * 1e-6 * std::hypot(0.5 * partner.tolerance_ppm, p.card_sd_ppm);
    }
    const double sum = own + other;
    double sign = sum < 0.0 ? -1.0 : 1.0;
    place.at_zero_hz = std::abs(sum);
    if (line.kind == LineKind::image) {
        const double fs = scene.limits.sample_rate_hz;
        if (std::fmod(place.at_zero_hz, fs) > 0.5 * fs) sign = -sign;
        place.at_zero_hz = fold(place.at_zero_hz, fs);
    }
    place.slope_hz = sign * own;
    switch (line.kind) {
        case LineKind::harmonic:
            for (int character = 0; character < drive_characters; ++character)
                place.emission[character] = harmonic_emission(p, rate.shape, character, line.order);
            place.envelope_db = harmonic_envelope_db(p, rate.shape, line.order);
            place.expected = true;
            break;
        case LineKind::subharmonic:
            set_emission(place, p.subharmonic);
            place.envelope_db = subharmonic_level_db;
            break;
        case LineKind::sideband:
            place.carrier = static_cast<int>(std::lround(line.own_multiple));
            set_emission(place, p.sideband / std::abs(line.order));
            place.envelope_db = harmonic_envelope_db(p, rate.shape, place.carrier) + sideband_level_db(line.order);
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

Singer declared(const Scene& scene, int index) {
    const MatchParameters& p = scene.parameters;
    const Rate& rate = scene.sheet->rates[static_cast<std::size_t>(index)];
    Singer singer;
    singer.rate = index;
    singer.shape = rate.shape;
    singer.log_prior_odds = std::log(p.singing_prior / (1.0 - p.singing_prior));
    if (const auto learned = p.prior_odds_factor.find(rate.full_name); learned != p.prior_odds_factor.end())
        singer.log_prior_odds += std::log(std::clamp(learned->second, 0.25, 4.0));
    for (const int state : scene.state) {
        const bool always = rate.active_in.empty();
        singer.active.push_back(always      ? 1.0
                                : state < 0 ? p.active_when_unsaid
                                            : (scene.sheet->active(rate, state) ? 1.0 : 0.0));
    }
    if (rate.wanders()) {
        singer.kind = SingerKind::wandering;
        singer.loose = true;
        singer.prior = {true, std::log(rate.hz_min), std::log(rate.hz_max), 0.0, 0.0, 0.0};
        return singer;
    }
    singer.tolerance = std::max(rate.tolerance_ppm, 0.1) * 1e-6;
    singer.loose = singer.tolerance >= loose_tolerance;
    singer.prior.sd = 0.5 * singer.tolerance;
    singer.prior.outside_mass = p.outside_mass;
    singer.prior.outside_sd = std::max(p.outside_sd, 2.0 * singer.tolerance);
    for (const Line& line : lines_of(*scene.sheet, index, scene.limits))
        singer.places.push_back(place_of(scene, rate, line));
    return singer;
}

Singer family(const Scene& scene) {
    const double prior = scene.parameters.family_prior;
    Singer singer;
    singer.kind = SingerKind::family;
    singer.loose = true;
    singer.log_prior_odds = std::log(prior / (1.0 - prior));
    singer.prior = {true, std::log(family_low_hz), std::log(family_high_hz), 0.0, 0.0, 0.0};
    singer.active.assign(scene.state.size(), 1.0);
    return singer;
}

}  // namespace

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
    if (singer.kind == SingerKind::fixed && singer.loose) steady = p.rc_steady;
    return {std::log(steady), std::log(1.0 - steady)};
}

Movement log_found(const MatchParameters& p, const Singer& singer, const SceneTone& tone) {
    constexpr double finder_errs = 0.02;      // a steady line found moving
    constexpr double finder_overlooks = 0.1;  // a moving line's harmonic found steady
    constexpr double beyond = 1e-3;           // a movement which the oscillator cannot make
    if (tone.steady) return {std::log(1.0 - finder_errs), std::log(finder_overlooks)};
    // A weak line's path may move by no more than its own uncertainty.
    constexpr double finder_unsure = 0.3;
    const bool still = tone.restless < 2.0 * tone.restless_sd;
    double plausible = 1.0;
    if (singer.kind == SingerKind::fixed) {
        const double scale = singer.loose ? p.rc_drift : std::max(10e-6, 0.1 * singer.tolerance);
        const double z = tone.restless / std::hypot(2.0 * scale, tone.restless_sd);
        plausible = std::exp(-0.5 * z * z) + beyond;
    }
    return {std::log((still ? finder_unsure : finder_errs) * plausible), std::log((1.0 - finder_overlooks) * plausible)};
}

}  // namespace tattletone
