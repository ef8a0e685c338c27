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

const std::vector<LimitNumber>& limit_numbers() {
    static const std::vector<LimitNumber> numbers{
        {"follow_frames", &Limits::follow_frames, Again::gates, no_following},
        {"follow_evidence_db", &Limits::follow_evidence_db, Again::gates, no_following, {0.0, 6.3, 12.6}},
        {"follow_depth_db", &Limits::follow_depth_db, Again::gates, no_following, {14.0, 28.0, never}},
        {"follow_spread_db", &Limits::follow_spread_db, Again::gates, no_following, {0.0, 2.1, 4.2}},
        {"follow_correlation", &Limits::follow_correlation, Again::gates, no_following, {0.6, 0.85}},

        {"least_present", &Limits::least_present, Again::gates, [](Limits& l) { l.least_present = 0.0; }},
        {"least_present_long", &Limits::least_present_long, Again::gates,
         [](Limits& l) { l.least_present_long = 0.0; }},
        {"most_unsteadiness", &Limits::most_unsteadiness, Again::gates, [](Limits& l) { l.most_unsteadiness = never; }},

        {"event_rest_share", &Limits::event_rest_share, Again::search, [](Limits& l) { l.event_rest_share = 0.0; }},
        {"event_mean_share", &Limits::event_mean_share, Again::search, [](Limits& l) { l.event_mean_share = -never; }},
        {"quiet_mean_share", &Limits::quiet_mean_share, Again::search, [](Limits& l) { l.quiet_mean_share = -never; }},

        {"path_level", &Limits::path_level, Again::gates, [](Limits& l) { l.path_level = -never; }},
        {"path_roughness_long", &Limits::path_roughness_long, Again::gates, no_roughness},
        {"path_roughness_short", &Limits::path_roughness_short, Again::gates, no_roughness},
        {"path_beside_long", &Limits::path_beside_long, Again::gates, no_beside},
        {"path_beside_short", &Limits::path_beside_short, Again::gates, no_beside},
        {"path_clear_peak", &Limits::path_clear_peak, Again::gates, no_beside, {14.0, 28.0, never}},
        {"path_quarter", &Limits::path_quarter, Again::gates, [](Limits& l) { l.path_quarter = -never; }},
        {"path_steadiness", &Limits::path_steadiness, Again::gates, [](Limits& l) { l.path_steadiness = -1.0; }},
        {"path_seconds", &Limits::path_seconds, Again::gates, [](Limits& l) { l.path_seconds = -1.0; }},

        {"moves_turns", &Limits::moves_turns, Again::gates, [](Limits& l) { l.moves_turns = never; }},
        {"family_below_hz", &Limits::family_below_hz, Again::gates, no_family},
        {"family_reach_hz", &Limits::family_reach_hz, Again::gates, no_family},
        {"family_others", &Limits::family_others, Again::gates, no_family, {1.0, 3.0, never}},
        {"family_order", &Limits::family_order, Again::gates, no_family, {2.0, 8.0, 17.0}},
        {"family_slack", &Limits::family_slack, Again::gates, no_family, {0.0, 0.0035, 0.007}},

        {"hum_below_hz", &Limits::hum_below_hz, Again::gates, [](Limits& l) { l.hum_below_hz = 0.0; }},
        {"rumble_below_hz", &Limits::rumble_below_hz, Again::gates, [](Limits& l) { l.rumble_below_hz = 0.0; }},

        {"sideband_reach_hz", &Limits::sideband_reach_hz, Again::gates, no_sidebands},
        {"sideband_below_db", &Limits::sideband_below_db, Again::gates, no_sidebands},
        {"sideband_sds", &Limits::sideband_sds, Again::gates, no_sidebands, {0.0, 2.8, 5.6}},
        {"sideband_slack_hz", &Limits::sideband_slack_hz, Again::gates, no_sidebands, {0.0, 0.035, 0.07}},

        {"note_reach", &Limits::note_reach, Again::gates, no_notes, {1.14, 1.28}},
        {"note_events", &Limits::note_events, Again::gates, no_notes},
        {"note_own_hz", &Limits::note_own_hz, Again::gates, no_notes, {0.0, 7.0, 14.0}},
        {"note_own_wanders", &Limits::note_own_wanders, Again::gates, no_notes, {0.0, 2.1, 4.2}},
        {"note_steady_db", &Limits::note_steady_db, Again::gates, no_notes},
        {"note_moving_db", &Limits::note_moving_db, Again::gates, no_notes},

        {"crowd_hz", &Limits::crowd_hz, Again::gates, no_crowd},
        {"crowd_lines", &Limits::crowd_lines, Again::gates, no_crowd},
        {"comb_reach_hz", &Limits::comb_reach_hz, Again::gates, no_comb},
        {"comb_spacing_hz", &Limits::comb_spacing_hz, Again::gates, no_comb},
        {"comb_pairs", &Limits::comb_pairs, Again::gates, no_comb},
        {"comb_clear_db", &Limits::comb_clear_db, Again::gates, no_comb, {5.6, 11.2, never}},

        {"mains_share", &Limits::mains_share, Again::gates, no_mains},
        {"mains_multiple", &Limits::mains_multiple, Again::gates, no_mains},
        {"mains_sds", &Limits::mains_sds, Again::gates, no_mains},
        {"mains_first_multiples", &Limits::mains_first_multiples, Again::gates, no_mains},
        {"mains_carrier_hz", &Limits::mains_carrier_hz, Again::gates, no_mains_sidebands},
        {"mains_sidebands", &Limits::mains_sidebands, Again::gates, no_mains_sidebands},
        {"mains_sideband_db", &Limits::mains_sideband_db, Again::gates, no_mains_sidebands, {0.0, 2.1, 4.2}},
        {"mains_sideband_slack",
         &Limits::mains_sideband_slack,
         Again::gates,
         no_mains_sidebands,
         {0.0, 0.0014, 0.0028}},

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
        {"room_drift_ppm", &Limits::room_drift_ppm, Again::room, no_room, {0.0, 2.1, 4.2}},
        {"room_gap", &Limits::room_gap, Again::room, no_room, {0.0, 0.0014, 0.0028}},
        {"room_machines_hz", &Limits::room_machines_hz, Again::room, no_room, {0.0, 1400.0, 2800.0}},
        {"room_louder_db", &Limits::room_louder_db, Again::room, no_room, {7.0, 14.0, never}},

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
