#include "match/mode.h"

#include <algorithm>
#include <cmath>
#include <set>

#include "match/card_grid.h"

namespace tattletone {
namespace {

constexpr double agree_sds = 4.0;
constexpr int most_outside_order = 8;
constexpr int most_wandering_anchor = 6, most_family_anchor = 4;
constexpr std::size_t most_split = 4;    // larger groups are not doubted for one line a little off

double reach_of(const Scene& scene, const Singer& singer) {
    return singer.tolerance + CardGrid::reach_sds * scene.parameters.card_sd_ppm * 1e-6;
}

bool is_outside(const Scene& scene, const Singer& singer, const Pair& pair) {
    return singer.kind == SingerKind::fixed &&
           std::abs(pair.x) > reach_of(scene, singer) + agree_sds * pair.sd;
}

/// Where the other rate's tolerance smears a line over more than this, it says nothing.
double widest_hz(LineKind kind) { return kind == LineKind::sideband ? 2.0 : 100.0; }

bool heard_there(const Scene& scene, const SceneTone& tone, const Place& place) {
    if (scene.settings.size() < 2) return true;
    for (std::size_t take = 0; take < tone.heard.size(); ++take)
        if (tone.heard[take] == Heard::yes && place.takes.has(take)) return true;
    return false;
}

std::vector<Pair> fixed_pairs(const Scene& scene, const Singer& singer) {
    std::vector<Pair> pairs;
    const double inside = reach_of(scene, singer);
    const double outside = std::max(inside, 3.0 * singer.prior.outside_sd);
    for (int index = 0; index < static_cast<int>(singer.places.size()); ++index) {
        const Place& place = singer.places[static_cast<std::size_t>(index)];
        const double smear_hz = std::hypot(place.extra_sd_hz, place.beat_sd * place.slope_hz);
        if (smear_hz > widest_hz(place.kind)) continue;
        const bool far = place.kind == LineKind::harmonic && place.order <= most_outside_order;
        const double slope = std::abs(place.slope_hz);
        const double reach_hz = (far ? outside : inside) * slope + 5.0 * smear_hz;
        const double slack_hz = 2.0 + 0.01 * place.at_zero_hz;
        auto tone = std::lower_bound(
            scene.tones.begin(), scene.tones.end(), place.at_zero_hz - reach_hz - slack_hz,
            [](const SceneTone& t, double hz) { return t.hz < hz; });
        for (; tone != scene.tones.end() && tone->hz <= place.at_zero_hz + reach_hz + slack_hz; ++tone) {
            if (!tone->accuses || !heard_there(scene, *tone, place)) continue;
            if (tone->faint && (!singer.may_resonate || place.kind != LineKind::harmonic)) continue;
            Pair pair;
            pair.tone = static_cast<int>(tone - scene.tones.begin());
            pair.place = index;
            pair.kind = place.kind;
            pair.order = place.order;
            pair.x = (tone->hz - place.at_zero_hz) / place.slope_hz;
            pair.sd = std::hypot(tone->sd_hz, place.extra_sd_hz, singer.loose ? tone->piece_sd_hz : 0.0) / slope;
            // What a crystal changes by between two lines is a share of what is heard.
            const double share = place.kind == LineKind::beat ? place.at_zero_hz / slope : 1.0;
            pair.sd = std::hypot(pair.sd, share * scene.parameters.model_error_ppm * 1e-6);
            pair.log_jacobian = -std::log(slope);
            const double limit = far ? outside : inside;
            if (std::abs(pair.x) <= limit + agree_sds * std::hypot(pair.sd, place.beat_sd)) pairs.push_back(pair);
        }
    }
    return pairs;
}

std::vector<Pair> free_pairs(const Scene& scene, const Singer& singer) {
    std::vector<Pair> pairs;
    for (int index = 0; index < static_cast<int>(scene.tones.size()); ++index) {
        const SceneTone& tone = scene.tones[static_cast<std::size_t>(index)];
        if (!tone.accuses || tone.faint) continue;
        const double sd = std::hypot(std::hypot(tone.sd_hz, tone.piece_sd_hz) / tone.hz,
                                     scene.parameters.model_error_ppm * 1e-6);
        for (int n = 1; n <= most_order; ++n) {
            Pair pair;
            pair.tone = index;
            pair.order = n;
            pair.x = std::log(tone.hz / n);
            pair.sd = sd;
            pair.log_jacobian = -std::log(tone.hz);
            if (pair.x < singer.prior.low - agree_sds * pair.sd) break;
            if (pair.x <= singer.prior.high + agree_sds * pair.sd) pairs.push_back(pair);
        }
        if (singer.kind != SingerKind::wandering) continue;
        for (const int halves : {1, 3}) {
            Pair pair;
            pair.tone = index;
            pair.kind = LineKind::subharmonic;
            pair.order = halves;
            pair.x = std::log(2.0 * tone.hz / halves);
            pair.sd = sd;
            pair.log_jacobian = -std::log(tone.hz);
            if (pair.x >= singer.prior.low && pair.x <= singer.prior.high) pairs.push_back(pair);
        }
    }
    return pairs;
}

bool may_anchor(const Singer& singer, const Pair& pair) {
    if (singer.kind == SingerKind::wandering) return pair.order <= most_wandering_anchor;
    if (singer.kind == SingerKind::family) return pair.order <= most_family_anchor;
    return pair.kind != LineKind::sideband;
}

/// Better claims first: harmonics before the rest, low orders before high ones.
int rank(const Pair& pair) { return 1000 * static_cast<int>(pair.kind) + std::abs(pair.order); }

bool has_carrier(const Mode& mode, const Singer& singer, const Pair& sideband) {
    const int carrier = singer.places[static_cast<std::size_t>(sideband.place)].carrier;
    return std::any_of(mode.begin(), mode.end(), [&](const Pair& pair) {
        return pair.kind == LineKind::harmonic && pair.order == carrier;
    });
}

bool agree(const Pair& a, const Pair& b) {
    const double reach = agree_sds * agree_sds * (a.sd * a.sd + b.sd * b.sd);
    return (a.x - b.x) * (a.x - b.x) <= reach;
}

/// Pairs in order of x. Lines which hang on a second rate too are smeared by it, and kept apart so that
/// the search around a sharp one need not look far.
struct Pairs {
    std::vector<Pair> sharp, smeared;
    double widest = 0.0;                 ///< sd among the sharp ones
};

bool hangs_on_other(const Pair& pair) { return pair.kind == LineKind::sideband || pair.kind == LineKind::beat; }

bool beats_with_another(const Singer& singer, const Pair& a, const Pair& b) {
    return a.kind == LineKind::beat && b.kind == LineKind::beat &&
           singer.places[static_cast<std::size_t>(a.place)].other != singer.places[static_cast<std::size_t>(b.place)].other;
}

Mode around(const Pairs& pairs, const Pair& anchor, const Singer& singer) {
    std::vector<const Pair*> near;
    const double reach = agree_sds * std::hypot(anchor.sd, pairs.widest);
    auto at = std::lower_bound(pairs.sharp.begin(), pairs.sharp.end(), anchor.x - reach,
                               [](const Pair& pair, double x) { return pair.x < x; });
    for (; at != pairs.sharp.end() && at->x <= anchor.x + reach; ++at)
        if (agree(*at, anchor)) near.push_back(&*at);
    for (const Pair& pair : pairs.smeared)
        if (agree(pair, anchor)) near.push_back(&pair);
    std::sort(near.begin(), near.end(), [&](const Pair* a, const Pair* b) {
        if (rank(*a) != rank(*b)) return rank(*a) < rank(*b);
        return std::abs(a->x - anchor.x) < std::abs(b->x - anchor.x);
    });
    Mode mode{anchor};
    for (const Pair* pair : near) {
        const auto clashes = [&](const Pair& taken) {
            return taken.tone == pair->tone || (taken.place == pair->place && taken.kind == pair->kind && taken.order == pair->order) ||
                   !agree(taken, *pair) || beats_with_another(singer, taken, *pair);
        };
        if (std::any_of(mode.begin(), mode.end(), clashes)) continue;
        if (pair->kind == LineKind::sideband && !has_carrier(mode, singer, *pair)) continue;
        mode.push_back(*pair);
    }
    std::sort(mode.begin(), mode.end(), [](const Pair& a, const Pair& b) { return a.tone < b.tone; });
    return mode;
}

bool worth_weighing(const Scene& scene, const Singer& singer, const Mode& mode) {
    if (singer.kind == SingerKind::family) return mode.size() >= 2;
    // Far outside the tolerance, one tone proves nothing unless it would be the fundamental.
    return mode.size() >= 2 || mode[0].order == 1 || !is_outside(scene, singer, mode[0]);
}

bool spread_out(const Mode& mode, const Pair& anchor) {
    return mode.size() <= most_split && std::any_of(mode.begin(), mode.end(), [&](const Pair& pair) {
        return std::abs(pair.x - anchor.x) > 2.0 * std::hypot(anchor.sd, pair.sd);
    });
}

/// Without the tones that a mode only happens to meet: doubted ones, and moving ones for a rate that a
/// crystal times. A mode is weighed whole, and one of these can spoil it.
Mode lean(const Scene& scene, const Singer& singer, const Mode& mode) {
    Mode kept;
    for (const Pair& pair : mode) {
        const SceneTone& tone = scene.tones[static_cast<std::size_t>(pair.tone)];
        if (tone.of_board && (singer.loose || tone.steady)) kept.push_back(pair);
    }
    return kept;
}

/// Without the lines that lie farthest from where the others put the singer.
Mode without_strays(const Mode& mode) {
    constexpr double stray_sds = 2.5;
    double weight = 0.0, mean = 0.0;
    for (const Pair& pair : mode) {
        weight += 1.0 / (pair.sd * pair.sd);
        mean += pair.x / (pair.sd * pair.sd);
    }
    mean /= weight;
    Mode kept;
    for (const Pair& pair : mode)
        if (std::abs(pair.x - mean) < stray_sds * pair.sd) kept.push_back(pair);
    return kept;
}

}  // namespace

std::vector<Mode> modes_of(const Scene& scene, const Singer& singer) {
    Pairs pairs;
    for (const Pair& pair : singer.kind == SingerKind::fixed ? fixed_pairs(scene, singer) : free_pairs(scene, singer)) {
        (hangs_on_other(pair) ? pairs.smeared : pairs.sharp).push_back(pair);
        if (!hangs_on_other(pair)) pairs.widest = std::max(pairs.widest, pair.sd);
    }
    std::sort(pairs.sharp.begin(), pairs.sharp.end(), [](const Pair& a, const Pair& b) {
        return a.x != b.x ? a.x < b.x : a.tone < b.tone;
    });
    std::vector<Mode> modes;
    std::set<std::vector<std::pair<int, int>>> known;
    const auto keep = [&](Mode mode) {
        std::vector<std::pair<int, int>> key;
        for (const Pair& pair : mode) key.emplace_back(pair.tone, 1000 * pair.place + 100 * static_cast<int>(pair.kind) + pair.order);
        if (known.insert(key).second && worth_weighing(scene, singer, mode)) modes.push_back(std::move(mode));
    };
    for (const Pair& anchor : pairs.sharp) {
        if (!may_anchor(singer, anchor)) continue;
        Mode mode = around(pairs, anchor, singer);
        if (spread_out(mode, anchor)) keep({anchor});
        for (Mode variant : {lean(scene, singer, mode), without_strays(mode)})
            if (!variant.empty() && variant.size() < mode.size()) keep(std::move(variant));
        keep(std::move(mode));
    }
    for (const Pair& anchor : pairs.smeared) {
        if (!may_anchor(singer, anchor)) continue;
        keep({anchor});
        keep(around(pairs, anchor, singer));
    }
    return modes;
}

}  // namespace tattletone
