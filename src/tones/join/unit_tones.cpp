#include <algorithm>
#include <cmath>
#include <cstdio>
#include <limits>
#include <numeric>
#include <tuple>

#include "tones/join/far_take.h"
#include "tones/join/moved_lines.h"
#include "tones/join/same_lines.h"
#include "tones/join/unit_tones.h"
#include "tones/judge/rejection_limits.h"

namespace tattletone::tones {
namespace {

/// One source in two takes, moved since: by how much in ln hz, and the least that the pairs of its lines are worth.
constexpr double takes_moved_share = 0.1, takes_moved_worth = 2.5;
/// The root mean square of a path that goes evenly from one end to the other: 1 / sqrt(12).
constexpr double seen_of_a_move = 0.3;

HeardIn heard(int take, const Tone& tone) {
    HeardIn in;
    in.take = take;
    in.heard = true;
    in.level_dbfs = tone.level_dbfs;
    in.tone_to_noise_db = tone.tone_to_noise_db;
    return in;
}

/// Several takes may disagree on the origin: one that knows the mains or the room is right about
/// the line; one clean take is enough against `unsure`.
void merge_origin(Tone& tone, const Tone& other) {
    const auto strength = [](Origin origin) {
        constexpr Origin rising[] = {Origin::unsure, Origin::board, Origin::room, Origin::mains};
        return std::find(std::begin(rising), std::end(rising), origin) - std::begin(rising);
    };
    if (strength(other.origin) <= strength(tone.origin)) return;
    tone.origin = other.origin;
    tone.rejection = other.rejection;
}

/// `moves_on`: what is not said to have been set may have moved on since another take.
void add_take(std::vector<UnitTone>& tones, int index, const Tones& found, bool moves_on,
              const RejectionLimits& limits) {
    std::vector<const Tone*> known, fresh;
    for (const UnitTone& tone : tones) known.push_back(&tone.tone);
    for (const Tone& tone : found.tones) fresh.push_back(&tone);
    std::vector<char> met(known.size(), 0), joined(fresh.size(), 0);
    for (const Link& link : matched(known, fresh, limits)) {
        met[link.left] = joined[link.right] = 1;
        UnitTone& unit_tone = tones[link.left];
        const Tone& other = *fresh[link.right];
        unit_tone.heard_in.push_back(heard(index, other));
        // What moves is told by the first take, the same for all lines of a source; a take may be too short to see it.
        const double apart_hz = std::abs(other.hz - unit_tone.tone.hz);
        const bool moving = other.steady != unit_tone.tone.steady
                                ? apart_hz > limits.room_sds * std::hypot(other.hz_sd, unit_tone.tone.hz_sd)
                                : !other.steady;
        Tone best = !moving && other.hz_sd < unit_tone.tone.hz_sd ? other : unit_tone.tone;
        if (moving) {
            best.steady = false;
            best.wander_hz = std::max({unit_tone.tone.wander_hz, other.wander_hz, seen_of_a_move * apart_hz});
        }
        if (best.mains_multiple == 0 && best.steady)
            best.hz_sd = std::max(best.hz_sd, 0.5 * apart_hz - limits.room_sds * best.hz_sd);
        merge_origin(best, unit_tone.tone);
        merge_origin(best, other);
        // A take that is not clipped has it too.
        if (other.product_hz <= 0.0 || unit_tone.tone.product_hz <= 0.0) best.product_hz = best.product_hz_sd = 0.0;
        unit_tone.tone = std::move(best);
    }
    // Lines that moved on together: each keeps the frequency that it had with the others.
    for (std::size_t i = 0; i < known.size(); ++i) met[i] = met[i] || known[i]->origin == Origin::mains;
    std::vector<char> mains_or_joined = joined;
    for (std::size_t i = 0; i < fresh.size(); ++i) mains_or_joined[i] = joined[i] || fresh[i]->origin == Origin::mains;
    while (moves_on) {
        const std::vector<MovedPair> alike = moved_alike(known, met, fresh, mains_or_joined, takes_moved_share, limits);
        if (worth_of(alike, known, fresh) < takes_moved_worth || !may_have_moved(alike, known, fresh)) break;
        for (const MovedPair& pair : alike) {
            met[pair.first] = joined[pair.second] = mains_or_joined[pair.second] = 1;
            UnitTone& unit_tone = tones[pair.first];
            unit_tone.heard_in.push_back(heard(index, *fresh[pair.second]));
            unit_tone.tone.steady = false;
            unit_tone.tone.wander_hz =
                std::max(unit_tone.tone.wander_hz, seen_of_a_move * std::abs(pair.by) * unit_tone.tone.hz);
            merge_origin(unit_tone.tone, *fresh[pair.second]);
        }
    }
    for (std::size_t i = 0; i < fresh.size(); ++i)
        if (!joined[i]) tones.push_back({0, *fresh[i], {heard(index, *fresh[i])}});
}

void add_absences(UnitTone& tone, const std::vector<Take>& takes) {
    std::vector<HeardIn> all;
    for (int index = 0; index < static_cast<int>(takes.size()); ++index) {
        const auto known = std::find_if(tone.heard_in.begin(), tone.heard_in.end(),
                                        [&](const HeardIn& in) { return in.take == index; });
        if (known != tone.heard_in.end()) {
            all.push_back(*known);
            continue;
        }
        const auto below_dbfs = found_above_dbfs(takes[static_cast<std::size_t>(index)].found, tone.tone);
        if (!below_dbfs) continue;
        HeardIn in;
        in.take = index;
        in.below_dbfs = *below_dbfs;
        all.push_back(in);
    }
    tone.heard_in = std::move(all);
}

/// A line of the room is no evidence against the board, unless it is so much louder with the board
/// on that the room's own cannot be all of it; then nobody can tell.
void mark_as_room(UnitTone& tone, const Tone& in_room, const std::string& what, const RejectionLimits& limits) {
    if (tone.tone.origin == Origin::mains) return;
    double loudest = -std::numeric_limits<double>::infinity();
    for (const HeardIn& in : tone.heard_in) loudest = std::max(loudest, in.level_dbfs);
    const bool louder = loudest > in_room.level_dbfs + limits.room_louder_db;
    tone.tone.origin = louder ? Origin::unsure : Origin::room;
    tone.tone.rejection = louder ? what + ", but much louder with the board on" : what;
}

void add_takes(std::vector<int>& takes, const UnitTone& tone) {
    for (const HeardIn& in : tone.heard_in)
        if (in.heard) takes.push_back(in.take);
}

/// What moves in the room has moved on between the recordings. Several lines that agree on by how much are the room's,
/// and so is a single line that moves in both.
void mark_moved(std::vector<UnitTone>& tones, const std::vector<const Tone*>& known, std::vector<char>& met_tone,
                const std::vector<const Tone*>& in_room, std::vector<std::vector<int>>& met_in,
                const RejectionLimits& limits) {
    std::vector<char> moved(in_room.size(), 0), met_room(in_room.size(), 0);
    for (std::size_t i = 0; i < in_room.size(); ++i) met_room[i] = !met_in[i].empty();
    for (;;) {
        const std::vector<MovedPair> alike =
            moved_alike(known, met_tone, in_room, met_room, limits.room_moves_share, limits);
        const bool alone = alike.size() == 1;
        const bool enough =
            alone ? worth_of(alike, known, in_room) >= 1.0 && std::abs(alike[0].by) <= limits.room_moves_alone
                  : worth_of(alike, known, in_room) >= 1.5;
        if (!enough) break;
        char what[96];
        std::snprintf(what, sizeof what, "also in the room recording, %.1f %% %s there",
                      100.0 * std::abs(std::expm1(alike[0].by)), alike[0].by > 0.0 ? "lower" : "higher");
        // In every take it may have been somewhere else: several lines may be met again by another take's.
        for (const MovedPair& pair : alike) {
            mark_as_room(tones[pair.first], *in_room[pair.second], what, limits);
            add_takes(met_in[pair.second], tones[pair.first]);
            met_tone[pair.first] = 1;
            moved[pair.second] = 1;
            if (alone) met_room[pair.second] = 1;
        }
    }
}

std::vector<RoomLine> mark_room(std::vector<UnitTone>& tones, const Tones& room, const RejectionLimits& limits) {
    std::vector<const Tone*> known, in_room;
    for (const UnitTone& tone : tones) known.push_back(&tone.tone);
    for (const Tone& tone : room.tones) in_room.push_back(&tone);
    std::vector<char> met_tone(known.size(), 0);
    std::vector<std::vector<int>> met_in(in_room.size());
    for (const Link& link : matched(known, in_room, limits)) {
        mark_as_room(tones[link.left], *in_room[link.right], "also in the room recording", limits);
        met_tone[link.left] = 1;
        add_takes(met_in[link.right], tones[link.left]);
    }
    mark_moved(tones, known, met_tone, in_room, met_in, limits);
    std::vector<RoomLine> lines;
    for (std::size_t i = 0; i < in_room.size(); ++i)
        if (in_room[i]->origin != Origin::mains) lines.push_back({in_room[i]->hz, in_room[i]->steady, met_in[i]});
    return lines;
}

bool in_room(const FaintLine& line, const Tones& room, const RejectionLimits& limits) {
    const auto meets = [&](const auto& other) {
        return std::abs(other.hz - line.hz) <
               limits.room_sds * std::hypot(other.hz_sd, line.hz_sd) + limits.room_drift_ppm * 1e-6 * line.hz;
    };
    return std::any_of(room.tones.begin(), room.tones.end(), meets) ||
           std::any_of(room.faint.begin(), room.faint.end(), meets);
}

bool in_room(const PulseLine& pulse, const Tones& room, const RejectionLimits& limits) {
    constexpr double pulse_moves_share = 1e-3;
    return std::any_of(room.pulses.begin(), room.pulses.end(), [&](const PulseLine& other) {
        return std::abs(other.hz - pulse.hz) <
               limits.room_sds * std::hypot(other.hz_sd, pulse.hz_sd) + pulse_moves_share * pulse.hz;
    });
}

bool before(const Tone& a, const Tone& b) {
    return std::tie(a.hz, a.level_dbfs, a.hz_sd) < std::tie(b.hz, b.level_dbfs, b.hz_sd);
}

/// In which the takes are joined: the longest first, whose tones are known best, and nothing that
/// the order in which they were given decides.
std::vector<std::size_t> joining_order(const std::vector<Take>& takes) {
    std::vector<std::size_t> order(takes.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::stable_sort(order.begin(), order.end(), [&](std::size_t left, std::size_t right) {
        const Take &a = takes[left], &b = takes[right];
        if (a.found.seconds != b.found.seconds) return a.found.seconds > b.found.seconds;
        const auto &one = a.found.tones, &other = b.found.tones;
        if (std::lexicographical_compare(one.begin(), one.end(), other.begin(), other.end(), before)) return true;
        if (std::lexicographical_compare(other.begin(), other.end(), one.begin(), one.end(), before)) return false;
        return std::tie(a.state, a.spot, a.path) < std::tie(b.state, b.spot, b.path);
    });
    return order;
}

}  // namespace

bool same_settings(const std::vector<Change>& a, const std::vector<Change>& b) {
    return a.size() == b.size() && std::all_of(a.begin(), a.end(), [&](const Change& change) {
               return std::any_of(b.begin(), b.end(), [&](const Change& other) {
                   return other.what == change.what && other.hz == change.hz;
               });
           });
}

void number_by_hz(std::vector<UnitTone>& tones) {
    std::stable_sort(tones.begin(), tones.end(),
                     [](const UnitTone& a, const UnitTone& b) { return a.tone.hz < b.tone.hz; });
    int id = 0;
    for (UnitTone& tone : tones) tone.id = ++id;
}

UnitTones unite(std::vector<Take> takes, const Tones* room, std::vector<Take> far) {
    return unite(std::move(takes), room, std::move(far), RejectionLimits{});
}

UnitTones unite(std::vector<Take> takes, const Tones* room, std::vector<Take> far, const RejectionLimits& limits) {
    UnitTones unit;
    if (room)
        for (Take& take : takes) {
            std::erase_if(take.found.faint, [&](const FaintLine& line) { return in_room(line, *room, limits); });
            std::erase_if(take.found.pulses, [&](const PulseLine& pulse) { return in_room(pulse, *room, limits); });
        }
    const bool set_alike = std::all_of(takes.begin(), takes.end(),
                                       [&](const Take& take) { return same_settings(take.changes, takes[0].changes); });
    for (const std::size_t i : joining_order(takes))
        add_take(unit.tones, static_cast<int>(i), takes[i].found, set_alike, limits);
    number_by_hz(unit.tones);
    if (room) unit.room_lines = mark_room(unit.tones, *room, limits);
    unit.room_given = room != nullptr;
    for (UnitTone& tone : unit.tones) {
        add_absences(tone, takes);
        const auto first = std::find_if(tone.heard_in.begin(), tone.heard_in.end(), [](auto& in) { return in.heard; });
        if (first != tone.heard_in.end())
            tone.swing = level_swing(tone.tone, takes[static_cast<std::size_t>(first->take)].found);
        if (room != nullptr && tone.tone.origin == Origin::board)
            tone.room_below_dbfs = found_above_dbfs(*room, tone.tone);
    }
    add_falls(unit.tones, takes, far, limits);
    unit.takes = std::move(takes);
    unit.far = std::move(far);
    return unit;
}

}  // namespace tattletone::tones
