#include "bench/rejection_numbers.h"

#include <algorithm>
#include <cmath>

namespace tattletone::bench {
namespace {

using Limits = RejectionLimits;
constexpr double never = 1e9;

void no_following(Limits& l) {
    l.follow_correlation = 2.0;
}
void no_family(Limits& l) {
    l.family_below_hz = 0.0;
}
void no_sidebands(Limits& l) {
    l.sideband_reach_hz = 0.0;
}
void no_notes(Limits& l) {
    l.note_events = 1'000'000'000;
}
void no_crowd(Limits& l) {
    l.crowd_hz = 0.0;
}
void no_comb(Limits& l) {
    l.comb_reach_hz = -1.0;
}
void no_mains(Limits& l) {
    l.mains_share = -1.0;
}
void no_mains_sidebands(Limits& l) {
    l.mains_carrier_hz = never;
}
void no_faint_mains(Limits& l) {
    l.faint_mains_multiple = 0;
}
void no_beside(Limits& l) {
    l.path_beside_long = l.path_beside_short = never;
}
void no_roughness(Limits& l) {
    l.path_roughness_long = l.path_roughness_short = never;
}
void nothing_moves(Limits& l) {
    l.room_moves_share = -1.0;
}
void no_room(Limits& l) {
    l.room_sds = without_room;
}

}  // namespace

bool LimitNumber::judges() const {
    return again == Again::gates && std::string(name).rfind("path_", 0) != 0 &&
           member != decltype(member){&RejectionLimits::moves_turns};
}

double LimitNumber::get(const RejectionLimits& limits) const {
    return std::visit([&](auto at) { return static_cast<double>(limits.*at); }, member);
}

void LimitNumber::set(RejectionLimits& limits, double value) const {
    if (const auto* real = std::get_if<double RejectionLimits::*>(&member))
        limits.*(*real) = value;
    else
        limits.*(std::get<int RejectionLimits::*>(member)) = static_cast<int>(std::lround(value));
}

// A number whose gates alone have to run again.
#define GATE(name, ...) \
    { #name, &Limits::name, Again::gates, __VA_ARGS__ }

const std::vector<LimitNumber>& limit_numbers() {
    static const std::vector<LimitNumber> numbers{
        GATE(follow_frames, no_following),
        GATE(follow_evidence_db, no_following, {0.0, 6.3, 12.6}),
        GATE(follow_depth_db, no_following, {14.0, 28.0, never}),
        GATE(follow_spread_db, no_following, {0.0, 2.1, 4.2}),
        GATE(follow_correlation, no_following, {0.6, 0.85}),

        GATE(least_present, [](Limits& l) { l.least_present = 0.0; }),
        GATE(least_present_long, [](Limits& l) { l.least_present_long = 0.0; }),
        GATE(most_unsteadiness, [](Limits& l) { l.most_unsteadiness = never; }),

        {"event_rest_share", &Limits::event_rest_share, Again::search, [](Limits& l) { l.event_rest_share = 0.0; }},
        {"event_mean_share", &Limits::event_mean_share, Again::search, [](Limits& l) { l.event_mean_share = -never; }},
        {"quiet_mean_share", &Limits::quiet_mean_share, Again::search, [](Limits& l) { l.quiet_mean_share = -never; }},

        GATE(path_level, [](Limits& l) { l.path_level = -never; }),
        GATE(path_roughness_long, no_roughness),
        GATE(path_roughness_short, no_roughness),
        GATE(path_beside_long, no_beside),
        GATE(path_beside_short, no_beside),
        GATE(path_clear_peak, no_beside, {14.0, 28.0, never}),
        GATE(path_quarter, [](Limits& l) { l.path_quarter = -never; }),
        GATE(path_steadiness, [](Limits& l) { l.path_steadiness = -1.0; }),
        GATE(path_seconds, [](Limits& l) { l.path_seconds = -1.0; }),

        GATE(moves_turns, [](Limits& l) { l.moves_turns = never; }),
        GATE(family_below_hz, no_family),
        GATE(family_reach_hz, no_family),
        GATE(family_others, no_family, {1.0, 3.0, never}),
        GATE(family_order, no_family, {2.0, 8.0, 17.0}),
        GATE(family_slack, no_family, {0.0, 0.0035, 0.007}),

        GATE(hum_below_hz, [](Limits& l) { l.hum_below_hz = 0.0; }),
        GATE(rumble_below_hz, [](Limits& l) { l.rumble_below_hz = 0.0; }),

        GATE(sideband_reach_hz, no_sidebands),
        GATE(sideband_below_db, no_sidebands),
        GATE(sideband_sds, no_sidebands, {0.0, 2.8, 5.6}),
        GATE(sideband_slack_hz, no_sidebands, {0.0, 0.035, 0.07}),

        GATE(note_reach, no_notes, {1.14, 1.28}),
        GATE(note_events, no_notes),
        GATE(note_own_hz, no_notes, {0.0, 7.0, 14.0}),
        GATE(note_own_wanders, no_notes, {0.0, 2.1, 4.2}),
        GATE(note_steady_db, no_notes),
        GATE(note_moving_db, no_notes),

        GATE(crowd_hz, no_crowd),
        GATE(crowd_lines, no_crowd),
        GATE(comb_reach_hz, no_comb),
        GATE(comb_spacing_hz, no_comb),
        GATE(comb_pairs, no_comb),
        GATE(comb_clear_db, no_comb, {5.6, 11.2, never}),

        GATE(mains_share, no_mains),
        GATE(mains_multiple, no_mains),
        GATE(mains_sds, no_mains),
        GATE(mains_first_multiples, no_mains),
        GATE(mains_carrier_hz, no_mains_sidebands),
        GATE(mains_sidebands, no_mains_sidebands),
        GATE(mains_sideband_db, no_mains_sidebands, {0.0, 2.1, 4.2}),
        GATE(mains_sideband_slack, no_mains_sidebands, {0.0, 0.0014, 0.0028}),

        {"faint_mains_multiple", &Limits::faint_mains_multiple, Again::faint, no_faint_mains},
        {"faint_mains_hz", &Limits::faint_mains_hz, Again::faint, no_faint_mains, {0.0, 7e-4, 1.4e-3}},
        {"faint_comb_reach_hz", &Limits::faint_comb_reach_hz, Again::faint,
         [](Limits& l) { l.faint_comb_reach_hz = 0.0; }},
        {"faint_apart_hz", &Limits::faint_apart_hz, Again::faint, [](Limits& l) { l.faint_apart_hz = -never; }},
        {"faint_note_reach",
         &Limits::faint_note_reach,
         Again::faint_search,
         [](Limits& l) { l.faint_note_reach = 0.0; },
         {1.14, 1.28}},

        {"room_sds", &Limits::room_sds, Again::room, no_room},
        {"room_drift_ppm", &Limits::room_drift_ppm, Again::room, no_room, {3.0, 10.5, 21.0}},
        {"room_gap", &Limits::room_gap, Again::room, no_room, {0.0, 0.0014, 0.0028}},
        {"room_machines_hz", &Limits::room_machines_hz, Again::room, no_room, {0.0, 1400.0, 2800.0}},
        {"room_louder_db", &Limits::room_louder_db, Again::room, no_room, {7.0, 14.0, never}},
        {"room_moves_share", &Limits::room_moves_share, Again::room, nothing_moves},
        {"room_moves_alone", &Limits::room_moves_alone, Again::room, nothing_moves, {0.0, 0.021, 0.042}},
        {"room_alike", &Limits::room_alike, Again::room, nothing_moves, {0.0, 1.4e-4, 2.8e-4}},

        {"cliff_db", &Limits::cliff_db, Again::search, [](Limits& l) { l.cliff_db = never; }},
    };
    return numbers;
}

const std::vector<SpeechNumber>& speech_numbers() {
    using Speech = SpeechLimits;
    static const std::vector<SpeechNumber> numbers{
        {"least_swing_db", &Speech::least_swing_db, 0.0},
        {"on_within_db", &Speech::on_within_db, never},
        {"loud_within_db", &Speech::loud_within_db, never},
        {"least_on", &Speech::least_on, -1.0},
        {"most_on", &Speech::most_on, 2.0},
        {"least_rises_per_second", &Speech::least_rises_per_second, -1.0},
        {"most_step_db", &Speech::most_step_db, never},
        {"voice_below_hz", &Speech::voice_below_hz, never},
        {"least_voiced", &Speech::least_voiced, -1.0},
    };
    return numbers;
}

std::vector<double> other_values(const LimitNumber& number) {
    if (!number.others.empty()) return number.others;
    const double value = number.get(RejectionLimits{});
    if (std::holds_alternative<double RejectionLimits::*>(number.member)) return {0.7 * value, 1.4 * value};
    return {std::floor(0.7 * value), std::ceil(1.4 * value)};
}

}  // namespace tattletone::bench
