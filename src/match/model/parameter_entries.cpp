#include <iterator>

#include "match/model/parameters.h"

namespace tattletone::match {
namespace {

#define HELD(name, value, held_by) \
    { #name, &MatchParameters::name, value, held_by, Scale::plain, 0.0 }
#define FITTED(name, start, scale, spread) \
    { #name, &MatchParameters::name, start, nullptr, Scale::scale, spread }

constexpr ParameterEntry entries[] = {
    HELD(singing_prior, 0.11,
         "assumed, and chosen with background_steady by the measurement that stands there; the "
         "simulator's own share of singing rates is its assumption and must not be fitted"),
    HELD(comb_share, 0.3,
         "assumed, and small enough that noise, speech and music name one of five rates in fewer than 1 of 1000 "
         "recordings: measured with tests/bench/comb_alarms"),
    HELD(opinion_factor_limit, 4.0, "assumed: some units of one bench do not outweigh a recording"),
    HELD(family_prior, 0.1317,
         "measured: the fit of 29 November 2026 on scenes without neighbours gives 0.163; with those five of it 7 of "
         "108 silent boards "
         "beside a neighbour (score_neighbours --units 12) accuse a part, with these 5, and 1 of 210 culprits less is "
         "named"),
    HELD(machine_prior, 0.05,
         "measured with score_scenes --scenes 150 and score_neighbours --units 15: with 0.2 9 of 12 wandering culprits "
         "are named, with 0.05 all 12, and as many neighbours of the board accuse somebody"),
    HELD(machine_prior_unheard, 0.3, "assumed: what moves in a room that was not recorded is as often a machine's"),
    HELD(family_in_take, 0.85, "assumed: a machine, a clock and the mains run on"),
    HELD(machine_steady, 0.03, "assumed: few stand still"),
    HELD(mains_prior, 0.03, "assumed: seldom without the low hum"),
    HELD(mains_heard_prior, 0.5, "assumed: where it hums it may buzz"),
    HELD(mains_reach, 0.004, "common practice: within 0.2 Hz of 50 Hz nearly always"),
    HELD(mains_change_ppm, 5.0, "assumed: a grid wanders by a millihertz in seconds"),
    HELD(mains_sds, 4.0, "assumed: wide"),
    HELD(mains_steady, 0.8, "assumed: high multiples of a grid that wanders move"),
    HELD(mains_high_emission, 0.2, "assumed: of a buzz that goes on to 10 kHz some stand out"),
    HELD(mains_high_lines, 5.0, "assumed"),
    HELD(mains_high_hz, 1e-4, "derived: as the finder tells multiples, DETECTION.md 13"),
    HELD(mains_fed_per_octave, 0.1,
         "assumed: a charger, a lamp or a supply sings in one room of four, over 2.7 octaves"),
    HELD(mains_fed_likelihood, 40.0,
         "common practice: the ripple of twice the mains modulates nearly all; by chance two lines at such distances "
         "are one in fifty"),
    HELD(mains_fed_low_hz, 1500.0, "common practice: converters are heard from 2 kHz on"),
    HELD(mains_fed_sides, 6.0, "common practice: the ripple has three multiples, on both sides"),
    HELD(mains_fed_grid_ppm, 100.0, "common practice: a grid is within 5 mHz of its mean for a minute"),
    HELD(mains_fed_slack, 0.012, "assumed: wide of two means of moving lines"),
    HELD(unheard_moving_per_octave, 0.1,
         "assumed: chargers, lamps, motors and fans have moving lines in many rooms; with the room recorded they are "
         "known"),
    HELD(room_missed, 0.15, "assumed: one line of seven is over the threshold at one place of a room only"),
    HELD(room_unlike, 0.3, "assumed: what moves stands still for the seconds of some takes"),
    HELD(room_stray_share, 0.5, "assumed: what sounds in the room's recording sounds half of the time"),
    HELD(room_stray_near, 0.25, "assumed: half of those have moved on a little, the others are another note or load"),
    HELD(room_stray_sd, 0.03, "assumed: as motors and converters do within minutes"),
    HELD(product_emission, 0.5, "assumed: every other product that could be loud enough is"),
    HELD(product_levels_db, 20.0, "assumed: below the largest that a limit makes"),
    HELD(twin_prior, 0.005, "assumed: channels of one kind on one clock are common, and so are switches that fail"),
    HELD(family_low_hz, 50.0, "assumed: below are the mains and rumble"),
    HELD(family_high_hz, 20000.0, "assumed: the upper end of hearing"),
    HELD(card_sd_ppm, 80.0, "assumed: wide enough for a card that is 200 ppm off"),
    HELD(model_error_ppm, 0.3, "assumed: a crystal at room temperature, some tenths of a ppm a minute"),
    HELD(tolerance_sds, 2.0,
         "common practice: a tolerance is two standard deviations, and parts beyond it are sorted "
         "out"),
    HELD(least_tolerance_ppm, 0.1, "assumed: keeps a tolerance of 0 a density; far below any sound card's error"),
    HELD(outside_mass, 0.01, "assumed: wrong dividers and settings happen, seldom"),
    HELD(outside_mass_tight, 0.001, "assumed: a crystal is not off by itself; wrong settings occur, seldom"),
    HELD(outside_sd, 0.03, "assumed: some percent, as dividers err by"),
    HELD(outside_least_tolerances, 2.0, "assumed: outside is outside for a loose rate too"),
    HELD(loose_tolerance, 0.005, "common practice: crystals and resonators are within 0.5 %"),
    HELD(resonator_tolerance, 0.0075,
         "common practice: those are declared with 0.5 %; half as much again for their ageing"),
    HELD(setting_sd, 0.001, "assumed: dividers are whole numbers"),
    HELD(pulse_emission, 0.8,
         "measured with match_calibration 1000 20000: log score a unit -0.42 with pulse_emission, "
         "pulse_fall and soft_pulse_fall as here, -0.48 with 0.87, 0.30 and 0.28, which the scenes "
         "of the fit prefer; those also fail tests/match"),
    HELD(pulse_fall, 0.55, "measured as pulse_emission"),
    HELD(soft_pulse_fall, 0.45, "measured as pulse_emission"),
    HELD(square_odd, 0.68,
         "measured with match_calibration 1000 20000, with the pulses as held: log score a unit "
         "-0.41 with the squares and rc_steady as here, -0.42 with 0.53, 0.10, 0.20 and 0.08 of "
         "the fit"),
    HELD(square_even, 0.065, "measured as square_odd"),
    HELD(uneven_square_even, 0.25, "measured as square_odd"),
    FITTED(sine_strong, 0.9, share, 1.0),
    FITTED(sine_weak, 0.3, share, 1.0),
    FITTED(sine_rest, 0.05, share, 1.0),
    HELD(lowest_order_fall, 1.5,
         "assumed: a series heard from a high harmonic on is rare; tests/match/diagnose_test.cpp "
         "holds what it is for"),
    FITTED(subharmonic, 0.02, share, 1.0),
    FITTED(sideband, 0.01, share, 1.0),
    HELD(image, 0.01, "assumed: recorders have filters"),
    FITTED(beat, 0.02, share, 1.0),
    HELD(reference_lines, 8.0, "assumed: higher lines are seldom what is heard"),
    HELD(level_mean_db, 13.5, "measured: see family_prior; the fit gives 16.5"),
    HELD(level_sd_db, 9.346, "measured: see family_prior; the fit gives 12"),
    FITTED(pulse_db_per_octave, 3.0, positive, 0.5),
    FITTED(square_db_per_octave, 4.0, positive, 0.5),
    FITTED(sine_db_per_octave, 8.0, positive, 0.5),
    HELD(subharmonic_level_db, -6.0, "assumed: half the amplitude"),
    HELD(sideband_level_db, -8.0, "assumed: modulation is seldom deep"),
    HELD(sideband_fall_db, 6.0, "assumed: half the amplitude"),
    HELD(line_scatter_db, 8.0, "measured: see family_prior; the fit gives 9.065"),
    FITTED(take_scatter_db, 4.0, positive, 0.5),
    HELD(spot_scatter_db, 8.0, "assumed: as a board's resonances from one place to the next; no scene has spots"),
    HELD(least_take_scatter_db, 1.0, "assumed: a hand and a table move"),
    HELD(nearer_spot_db, 6.0, "common practice: twice as near, twice the pressure"),
    HELD(spot_factor_limit, 3.0, "assumed: a whole board sounds"),
    HELD(room_per_octave, 0.25,
         "measured: find_tones on 200 real clips of rooms and streets (../shared/real/environment) "
         "gives 0.19 an octave; taken a little larger"),
    HELD(room_steady, 0.73, "measured in the same clips"),
    HELD(room_steady_level_db, 5.5, "measured in the same clips: 5.1; taken a little larger"),
    HELD(room_moving_level_db, 2.5, "measured in the same clips: 2.0; taken a little larger"),
    HELD(background_per_octave, 0.1,
         "assumed: one in ten octaves; the simulator's number of strangers is its assumption and "
         "must not be fitted"),
    HELD(background_low_factor, 0.5,
         "assumed: half as many an octave are taken for a board's, since hum, voices and rumble "
         "were told apart before"),
    HELD(low_band_hz, 1000.0, "assumed: below it voices, hum and rumble fill the band"),
    HELD(round_share, 0.003, "assumed: other people's clocks are round too"),
    HELD(round_step_hz, 1000.0, "common practice: clocks divide to whole kilohertz"),
    HELD(round_sd_ppm, 150.0, "assumed: a crystal's tolerance and a sound card's"),
    HELD(clutter_prior_tones, 2.0, "assumed"),
    HELD(unsure_factor, 20.0, "assumed: voices and music leave many crumbs"),
    HELD(unsure_limit, 8.0, "assumed: so many are a voice's or music's"),
    HELD(background_level_db, 15.0, "measured: see family_prior; the fit gives 8.029"),
    HELD(background_steady, 0.92,
         "measured with the table of November 2026 on fitting units (match_calibration 6000 20000) "
         "and scenes: log score -0.445 at 0.94 and -0.438 at 0.92, both with a singing_prior of "
         "0.11; with paces a little different 0.96 and 0.12 had -0.443, 0.90 and 0.11 -0.423, but "
         "that named fewer wandering culprits in scenes 72000 to 72149"),
    HELD(noise_excess_db, 0.4, "derived: 10 lg e / 10 dB, as power in noise is exponential"),
    HELD(same_line_ppm, 3.0, "assumed: ten times model_error_ppm"),
    FITTED(crystal_steady, 0.97, share, 1.0),
    HELD(resonator_steady, 0.6,
         "assumed: such a tolerance is as often a resonator's, which is steady, as a resistor's "
         "and capacitor's, which seldom is"),
    HELD(rc_steady, 0.2, "measured as square_odd"),
    FITTED(wandering_steady, 0.1, share, 1.0),
    HELD(finder_errs, 0.02, "assumed: few"),
    HELD(finder_unsure, 0.3, "assumed: a weak line's path is hardly told from rest"),
    HELD(may_rest_sds, 2.0, "common practice"),
    HELD(finder_overlooks, 0.1, "assumed"),
    HELD(finder_overlooks_family, 0.35,
         "assumed: of a family that moves by a hundred ppm the low members stand still within what a take resolves"),
    HELD(finder_overlooks_rc, 0.2, "measured: 150 of 604 in simulated scenes, most of them where they turn"),
    FITTED(rc_drift, 0.001, positive, 0.5),
    HELD(rc_pace_spread_below, 1.1, "assumed: common practice has no figure; a tenth to three times the pace"),
    HELD(rc_pace_spread_above, 0.7, "assumed: what moves much farther would be mended"),
    HELD(converter_pace, 0.004, "assumed: common practice has no figure"),
    HELD(converter_pace_spread, 1.7, "assumed as wide as the strays'"),
    HELD(stray_pace, 0.0015,
         "measured: 45 moving lines above 1 kHz of 200 real clips (../shared/real/environment): "
         "half below 1.6e-3"),
    HELD(stray_pace_spread, 1.7, "measured in the same lines: a tenth below 1.2e-4, nine tenths below 1.1e-2"),
    HELD(pace_unsure_limit, 2.0, "assumed"),
    HELD(beyond_pace, 0.001, "assumed: nothing is impossible"),
    HELD(crystal_restless, 2e-5, "assumed: the recorder's and the crystal's own change of temperature"),
    HELD(tolerance_restless, 0.2, "assumed: most of a tolerance is what parts differ by"),
    HELD(restless_sds, 6.0,
         "derived: each end of a path comes from a fifth of it, so it is some four times less "
         "certain; the difference of two"),
    HELD(moving_mean_share, 0.03, "assumed: the mean depends on when the line is seen"),
    HELD(moving_unseen_share, 0.3,
         "derived: 1 / sqrt(12), a piece anywhere of a path that goes evenly from end to end"),
    HELD(whole_from, 0.9, "assumed"),
    HELD(piece_share, 1.2e-5,
         "assumed: a moving line is found steady where it turns, and its harmonics turn at the "
         "same time but for this much"),
    HELD(same_drift, 1e-5, "assumed: the fit's own errors beyond its stated ones"),
    HELD(same_drift_share, 0.1, "assumed"),
    HELD(still_drift, 3e-6, "assumed: a crystal's change in seconds"),
    HELD(recorder_drift, 3e-5, "assumed: a phone's clock warming up"),
    HELD(recorder_share, 0.15, "assumed"),
    HELD(slow_drift, 6e-5, "assumed"),
    HELD(far_drift, 0.0003, "assumed: the finder's limit of a steady line"),
    HELD(far_drift_share, 0.3, "assumed"),
    HELD(drifting_share, 0.3,
         "measured: a seventh of the steady lines of 200 real clips (../shared/real/environment) "
         "drifts by more than three standard deviations, and many are too weak to tell; taken as "
         "three tenths"),
    FITTED(family_drift_sd, 0.002, positive, 1.0),
    HELD(path_drift_share, 0.2, "assumed: paths are seen at different times"),
    HELD(stray_drift, 0.02, "assumed: 2 %"),
    HELD(path_gain_limit, 3.0,
         "assumed: paths of one room's machines agree too; the bound of the search needs a limit"),
    HELD(path_loss_limit, 6.0, "assumed: a path can be followed wrongly"),
    HELD(sings_when_active, 0.95, "assumed: mostly again; the simulator's states are its assumption"),
    HELD(active_when_unsaid, 0.5, "assumed: nothing is known"),
    HELD(unsaid_one_state, 0.8, "assumed: who says no state mostly leaves the board as it is"),
    HELD(state_error, 0.003, "assumed: sheets and people err"),
    HELD(background_in_take, 0.5,
         "assumed: a stranger is as often there as not; with 0.645 of the fit on scenes, many "
         "takes without a state weaken the true rate too much (tests/match/bounds_test.cpp)"),
    HELD(line_in_take, 0.9, "assumed: the finder misses few"),
    HELD(far_board_fall_db, 24.0,
         "derived: 20 lg(60/3) = 26 dB of what comes straight; what walls give back is as loud at some 0.6 m in a "
         "furnished room, 0 to 3 dB more"),
    HELD(far_distance_sd_db, 4.0,
         "common practice: hands hold 2 to 5 cm and 45 to 80 cm, and boards are 5 to 10 cm long"),
    HELD(far_line_sd_db, 6.0, "derived: one point of a field of many modes, 5.6 dB (Schroeder), and near fields"),
    HELD(far_room_distance_sd_db, 3.0, "derived: 57 cm nearer to or farther from what is 0.5 to 3 m away, 1 to 7 dB"),
    HELD(far_room_line_sd_db, 8.0, "derived: two points of a field of many modes, 5.6 dB each (Schroeder)"),
    HELD(far_beside, 0.25, "assumed: a microphone 3 cm from a board hears other things of it too, and its own supply"),
    HELD(far_beside_machine, 0.05, "assumed: few hold the microphone at a fan or a charger"),
    HELD(far_astray, 0.005, "assumed: a table that carries the sound, a gain that follows"),
    HELD(far_twin_prior, 0.011, "assumed: one in ten of a rate's own; a second board of the kind in the room"),
    HELD(far_unmoved, 0.02, "assumed: the wrong file, seldom"),
    HELD(far_unmoved_sd_db, 2.0, "common practice: a microphone left where it is"),
    HELD(swing_near_db, 0.3, "derived: what walls give back is some 20 dB fainter at 3 cm; noise and loads"),
    HELD(swing_near_spread, 1.0, "assumed: a factor of 3"),
    HELD(swing_held_db, 1.5, "measured: 0.6 to 2.6 dB, median 1.3, with hands of score_scenes --hardship hand-held"),
    HELD(swing_held_spread, 0.6, "measured: as before; widened"),
    HELD(swing_held_share, 0.5, "assumed: half of the microphones lie still"),
    HELD(swing_far_db, 3.2,
         "measured: 1.3 to 4.2 dB in the moving lines of 200 real clips (../shared/real/environment), median 2.5, and "
         "2.1 to 6 dB in simulated rooms; 5.6 dB where frames are short (Schroeder 1962)"),
    HELD(swing_far_spread, 0.4, "measured: as before"),
    HELD(swing_far_near_share, 0.3,
         "assumed: three neighbours in ten stand within a hand's breadth of the microphone, or where little "
         "reverberates"),
    HELD(pulse_share, 0.3, "assumed: three in ten slow rates make noise come and go"),
    HELD(pulse_stray, 0.01, "assumed: rooms have round paces of their own: clocks, fans, music"),
    HELD(pulse_odds_limit, 25.0, "assumed: as trial_line_odds"),
    HELD(misread_usual, 0.001,
         "assumed: one file in five hundred was saved by a tool that took one rate for the other"),
    HELD(misread_other, 0.0001, "assumed: other pairs are rarer"),
    HELD(hide_least_hz, 0.5, "assumed: a tone's skirts, whatever its length"),
    HELD(hide_cycles, 2.0, "assumed: two bins"),
    HELD(hide_sds, 3.0, "common practice"),
    HELD(coherent_seconds, 20.0, "derived: the tone finder's own piece (tones/find_tones.h)"),
    HELD(trace_undeclared, 0.2, "assumed"),
    HELD(trace_unknown_rail, 0.5, "assumed"),
    HELD(trace_other_rail, 0.05, "assumed"),
    HELD(trace_log_band, 11.5, "derived: ln(2 MHz / 20 Hz)"),
    HELD(trace_doubled, 0.05, "assumed: two dips a period"),
    HELD(trace_halved, 0.05, "assumed: every second one deeper"),
    HELD(trace_moves_wandering, 0.01, "assumed: the load is another"),
    HELD(trace_moves_loose, 0.002, "assumed: warmth; as rc_drift within a factor of four"),
    HELD(trace_astray, 0.02, "assumed"),
    HELD(trace_odds_factor, 4.0, "assumed: four times, as opinion_factor_limit"),
    HELD(trial_other_part, 0.02, "assumed: as state_error, that something is other than declared"),
    HELD(trial_undeclared, 0.02, "assumed: most of them are no part's that is switched"),
    HELD(trial_stays_on, 0.02, "assumed: the switching did not take effect"),
    HELD(trial_line_odds, 25.0, "assumed: half of the lines of a rate that sings, against trial_undeclared"),
    HELD(outcome_unforeseen, 0.002, "assumed"),
    HELD(line_emerges_anyway, 0.01, "assumed"),
    HELD(room_share, 0.3, "assumed"),
    HELD(undeclared_stays, 0.8, "assumed"),
    HELD(undeclared_drifts, 0.2, "assumed"),
    HELD(trial_loose_ppm, 10000.0, "common practice: from 1 % on it is timed by a resistor and a capacitor"),
    HELD(warmth_moves, 0.8, "assumed: some are compensated"),
    HELD(warmth_moves_others, 0.02, "assumed: a crystal's change is not seen"),
    HELD(load_ends_burst, 0.8, "common practice: a burst is a thing of light load"),
    HELD(press_tells, 0.5, "common practice: half of the time"),
    HELD(press_misleads, 0.15, "assumed: the board bends as a whole"),
};

#undef HELD
#undef FITTED

static_assert(sizeof(MatchParameters) == sizeof(double) * std::size(entries), "a parameter without its entry");

}  // namespace

std::span<const ParameterEntry> parameter_entries() {
    return entries;
}

}  // namespace tattletone::match
