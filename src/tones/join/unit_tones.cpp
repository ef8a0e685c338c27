#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>
#include <tuple>

#include "tones/join/unit_tones.h"
#include "tones/judge/rejection_limits.h"

namespace tattletone::tones {
namespace {

/// The mains, fans and voices keep no frequency from one take to the next, however steady in one.
bool keeps_its_frequency(const Tone& tone, const RejectionLimits& limits) {
    return tone.hz > limits.room_machines_hz || tone.origin == Origin::board;
}

/// How far two tones of different recordings are apart, in units of what they may be; above 1: not
/// the same line. Steady lines by their frequencies, wandering ones by whether their paths meet.
double distance(const Tone& a, const Tone& b, const RejectionLimits& limits) {
    if (a.steady && b.steady && keeps_its_frequency(a, limits) && keeps_its_frequency(b, limits)) {
        const double allowed =
            std::max(limits.room_sds * std::hypot(a.hz_sd, b.hz_sd), limits.room_drift_ppm * 1e-6 * a.hz);
        return std::abs(a.hz - b.hz) / allowed;
    }
    const auto spread = [&](const Tone& tone) {
        const double path = 0.5 * std::abs(tone.end_hz - tone.start_hz);
        return tone.steady ? limits.room_sds * tone.hz_sd
                           : std::max(path, 2.0 * tone.wander_hz) + limits.room_sds * tone.hz_sd;
    };
    return std::abs(a.hz - b.hz) / (spread(a) + spread(b) + limits.room_gap * a.hz);
}

struct Link {
    double apart = 0.0;
    std::size_t left = 0, right = 0;
};

/// One to one, the nearest first. `left[i]` and `right[j]` ascend in frequency.
std::vector<Link> matched(const std::vector<const Tone*>& left, const std::vector<const Tone*>& right,
                          const RejectionLimits& limits) {
    std::vector<Link> links;
    for (std::size_t i = 0; i < left.size(); ++i)
        for (std::size_t j = 0; j < right.size(); ++j)
            if (const double apart = distance(*left[i], *right[j], limits); apart <= 1.0)
                links.push_back({apart, i, j});
    std::sort(links.begin(), links.end(),
              [](const Link& a, const Link& b) { return a.apart != b.apart ? a.apart < b.apart : a.left < b.left; });
    std::vector<char> left_taken(left.size(), 0), right_taken(right.size(), 0);
    std::erase_if(links, [&](const Link& link) {
        if (left_taken[link.left] || right_taken[link.right]) return true;
        left_taken[link.left] = right_taken[link.right] = 1;
        return false;
    });
    return links;
}

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
        switch (origin) {
            case Origin::mains:
                return 3;
            case Origin::room:
                return 2;
            case Origin::board:
                return 1;
            case Origin::unsure:
                return 0;
        }
        return 0;
    };
    if (strength(other.origin) <= strength(tone.origin)) return;
    tone.origin = other.origin;
    tone.rejection = other.rejection;
}

void add_take(std::vector<UnitTone>& tones, int index, const Tones& found, const RejectionLimits& limits) {
    std::vector<const Tone*> known, fresh;
    for (const UnitTone& tone : tones) known.push_back(&tone.tone);
    for (const Tone& tone : found.tones) fresh.push_back(&tone);
    std::vector<char> joined(fresh.size(), 0);
    for (const Link& link : matched(known, fresh, limits)) {
        joined[link.right] = 1;
        UnitTone& unit_tone = tones[link.left];
        const Tone& other = *fresh[link.right];
        unit_tone.heard_in.push_back(heard(index, other));
        Tone best = other.hz_sd < unit_tone.tone.hz_sd ? other : unit_tone.tone;
        merge_origin(best, unit_tone.tone);
        merge_origin(best, other);
        unit_tone.tone = std::move(best);
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
        const Tones& found = takes[static_cast<std::size_t>(index)].found;
        const double hz = tone.tone.hz;
        if (found.floor.empty() || hz < found.usable.low_hz || hz > found.usable.high_hz) continue;
        const FloorPoint floor = floor_at(found, hz);
        HeardIn in;
        in.take = index;
        in.below_dbfs = tone.tone.steady ? floor.steady_above_dbfs : floor.wandering_above_dbfs;
        all.push_back(in);
    }
    tone.heard_in = std::move(all);
}

/// A line of the room is no evidence against the board, unless it is so much louder with the board
/// on that the room's own cannot be all of it; then nobody can tell.
void mark_room(std::vector<UnitTone>& tones, const Tones& room, const RejectionLimits& limits) {
    std::vector<const Tone*> known, in_room;
    for (const UnitTone& tone : tones) known.push_back(&tone.tone);
    for (const Tone& tone : room.tones) in_room.push_back(&tone);
    for (const Link& link : matched(known, in_room, limits)) {
        UnitTone& tone = tones[link.left];
        if (tone.tone.origin == Origin::mains) continue;
        double loudest = -std::numeric_limits<double>::infinity();
        for (const HeardIn& in : tone.heard_in) loudest = std::max(loudest, in.level_dbfs);
        if (loudest > in_room[link.right]->level_dbfs + limits.room_louder_db) {
            tone.tone.origin = Origin::unsure;
            tone.tone.rejection = "also in the room recording, but much louder with the board on";
        } else {
            tone.tone.origin = Origin::room;
            tone.tone.rejection = "also in the room recording";
        }
    }
}

bool in_room(const FaintLine& line, const Tones& room, const RejectionLimits& limits) {
    const auto meets = [&](const auto& other) {
        return std::abs(other.hz - line.hz) <
               limits.room_sds * std::hypot(other.hz_sd, line.hz_sd) + limits.room_drift_ppm * 1e-6 * line.hz;
    };
    return std::any_of(room.tones.begin(), room.tones.end(), meets) ||
           std::any_of(room.faint.begin(), room.faint.end(), meets);
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

UnitTones unite(std::vector<Take> takes, const Tones* room) {
    return unite(std::move(takes), room, RejectionLimits{});
}

UnitTones unite(std::vector<Take> takes, const Tones* room, const RejectionLimits& limits) {
    UnitTones unit;
    if (room)
        for (Take& take : takes)
            std::erase_if(take.found.faint, [&](const FaintLine& line) { return in_room(line, *room, limits); });
    for (const std::size_t i : joining_order(takes)) add_take(unit.tones, static_cast<int>(i), takes[i].found, limits);
    std::sort(unit.tones.begin(), unit.tones.end(),
              [](const UnitTone& a, const UnitTone& b) { return a.tone.hz < b.tone.hz; });
    if (room) mark_room(unit.tones, *room, limits);
    unit.room_given = room != nullptr;
    int id = 0;
    for (UnitTone& tone : unit.tones) {
        tone.id = ++id;
        add_absences(tone, takes);
    }
    unit.takes = std::move(takes);
    return unit;
}

}  // namespace tattletone::tones
