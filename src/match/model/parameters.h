#pragma once

#include <span>

namespace tattletone::match {

/// Every number of the match's model. Probabilities and shares are between 0 and 1, widths are one standard deviation.
/// The values come from `fitted_parameters()`, the one generated table; where each comes from stands in
/// parameter_entries.cpp. Cut-offs of the search and steps of its grids are no part of the model and stand where they
/// are used.
struct MatchParameters {
    // Who sings.
    double singing_prior = 0.0;  ///< a declared rate is heard at all
    /// what this bench has learned changes prior odds by this factor at most
    double opinion_factor_limit = 0.0;
    double family_prior = 0.0;           ///< a harmonic family that nobody declared is heard
    double machine_prior = 0.0;          ///< a fan, a motor, a charger: a family that moves
    double machine_prior_unheard = 0.0;  ///< the same where the room was not recorded
    double family_in_take = 0.0;         ///< that a family runs, by take
    double machine_steady = 0.0;         ///< share of those that stand still for a recording
    double mains_prior = 0.0;            ///< multiples of the mains are heard above the low hum, where none of that is
    double mains_heard_prior = 0.0;      ///< where it is
    double mains_reach = 0.0;            ///< relative, on either side of 50 or 60 Hz
    double mains_change_ppm = 0.0;       ///< how far means of the mains in one recording differ by when a line is heard
    double mains_sds = 0.0;              ///< standard deviations on either side of the mains' frequency that was heard
    double mains_steady = 0.0;           ///< share of its lines that are found steady
    double mains_high_emission = 0.0;    ///< probability of a multiple beyond those of a source, where it buzzes
    double mains_high_lines = 0.0;       ///< so many multiples over `low_band_hz` are a buzz
    double mains_high_hz = 0.0;          ///< sd of a multiple by its order
    double mains_fed_per_octave = 0.0;   ///< converters on the mains, a recording
    double mains_fed_likelihood = 0.0;   ///< how much likelier their sides are than of another moving line
    double mains_fed_low_hz = 0.0;       ///< below it a moving line is no converter's
    double mains_fed_sides = 0.0;        ///< highest multiple of twice the mains
    double mains_fed_grid_ppm = 0.0;     ///< sd of the grid where it was heard
    double mains_fed_slack = 0.0;        ///< most that a side may be off, in steps
    double unheard_moving_per_octave = 0.0;  ///< moving lines of a room that was not recorded
    double room_missed = 0.0;        ///< lines that the room's recording misses, by each that it shares with a take
    double room_unlike = 0.0;        ///< of both, where one is steady and the other moves
    double room_stray_share = 0.0;   ///< tones of elsewhere a take, by each that only the room's recording has
    double room_stray_near = 0.0;    ///< of that: near it, the rest within an octave
    double room_stray_sd = 0.0;      ///< how near, in ln f
    double product_emission = 0.0;   ///< of a place where clipping would put a line, that one is seen
    double product_levels_db = 0.0;  ///< over so many dB its level is as likely
    double twin_prior = 0.0;      ///< something else on the clock of a rate that was switched off, or switching failed
    double family_low_hz = 0.0;   ///< its fundamental: uniform in ln hz from here
    double family_high_hz = 0.0;  ///< to here

    // Where a rate lies.
    double comb_share = 0.0;       ///< of rates that sing, those heard as a comb of lines too faint to be found alone
    double card_sd_ppm = 0.0;      ///< sound card's clock error, common to all takes
    double model_error_ppm = 0.0;  ///< a crystal's own change between lines and takes; adds to hz_sd
    /// standard deviations in a declared tolerance, where the density is cut
    double tolerance_sds = 0.0;
    double least_tolerance_ppm = 0.0;       ///< a smaller tolerance counts as this
    double outside_mass = 0.0;              ///< share of rates that do not keep their tolerance
    double outside_mass_tight = 0.0;        ///< the same of those that a crystal or a resonator times
    double outside_sd = 0.0;                ///< how far off those are, relative
    double outside_least_tolerances = 0.0;  ///< … and this many tolerances at least
    double loose_tolerance = 0.0;           ///< from this on a rate may move, relative
    double resonator_tolerance = 0.0;       ///< below this it may as well be a ceramic resonator's
    double setting_sd = 0.0;                ///< a changed rate against what was asked for, relative

    // Which lines a singing rate has: probability that the drive has the line at all. Drives of one shape come in two
    // characters, equally likely beforehand, and all lines of a rate tell which it is.
    double pulse_emission = 0.0;   ///< n-th harmonic of a pulse: emission / n^fall
    double pulse_fall = 0.0;       ///< of a short pulse
    double soft_pulse_fall = 0.0;  ///< of a long or rounded one
    double square_odd = 0.0;
    double square_even = 0.0;         ///< of an even square wave (duty cycle one half)
    double uneven_square_even = 0.0;  ///< of one whose duty cycle is not quite one half
    double sine_strong = 0.0;         ///< the fundamental; where the sound follows the square, 2f
    double sine_weak = 0.0;           ///< the other one of the two
    double sine_rest = 0.0;
    /// share of rates whose lowest line found is the n-th: (n / 2)^-fall
    double lowest_order_fall = 0.0;
    double subharmonic = 0.0;
    double sideband = 0.0;
    double image = 0.0;
    double beat = 0.0;

    // How loud: a rate's level over the threshold of its lines, and one line's scatter about it.
    /// the threshold is the mean over its first lines, this many at most
    double reference_lines = 0.0;
    double level_mean_db = 0.0;
    double level_sd_db = 0.0;
    double pulse_db_per_octave = 0.0;
    double square_db_per_octave = 0.0;
    double sine_db_per_octave = 0.0;
    double subharmonic_level_db = 0.0;   ///< of a half, against the fundamental
    double sideband_level_db = 0.0;      ///< of a first sideband, against its carrier
    double sideband_fall_db = 0.0;       ///< of each further one
    double line_scatter_db = 0.0;        ///< a board's resonances
    double take_scatter_db = 0.0;        ///< between takes at one spot
    double spot_scatter_db = 0.0;        ///< between takes at different spots
    double least_take_scatter_db = 0.0;  ///< between takes, whatever else is said
    double nearer_spot_db = 0.0;         ///< louder over the source's own spot
    double spot_factor_limit = 0.0;      ///< a spot changes a rate's odds by this factor at most

    // Tones that nobody declared. The room's stand little over their thresholds and may move; those of undeclared
    // sources are as loud as a board's.
    double room_per_octave = 0.0;        ///< above 1 kHz, in a usual room
    double room_steady = 0.0;            ///< share that is steady
    double room_steady_level_db = 0.0;   ///< mean height over the threshold (exponential)
    double room_moving_level_db = 0.0;   ///< the same of those that move
    double background_per_octave = 0.0;  ///< of undeclared sources, above 1 kHz
    double background_low_factor = 0.0;  ///< below `low_band_hz`, against above, of both
    double low_band_hz = 0.0;
    double round_share = 0.0;  ///< undeclared tones near each multiple of `round_step_hz`
    double round_step_hz = 0.0;
    double round_sd_ppm = 0.0;  ///< how near
    /// a recording's own density of strays is weighed against this many tones
    double clutter_prior_tones = 0.0;
    double unsure_factor = 0.0;  ///< times as many are of unsure origin
    double unsure_limit = 0.0;   ///< from more unsure tones than this none accuses
    /// of undeclared sources: mean height over the threshold (exponential)
    double background_level_db = 0.0;
    double background_steady = 0.0;  ///< share of them that is steady
    double noise_excess_db = 0.0;    ///< of noise's peaks over a level ten times the mean, on average
    double same_line_ppm = 0.0;      ///< faint lines of two takes are one within this and their errors

    // How a line moves in time: share of sources that are steady.
    double crystal_steady = 0.0;
    double resonator_steady = 0.0;  ///< of those that may be a ceramic resonator's
    double rc_steady = 0.0;
    double wandering_steady = 0.0;
    double finder_errs = 0.0;       ///< a steady line is found moving
    double finder_unsure = 0.0;     ///< the same where it moves no more than its uncertainty
    double may_rest_sds = 0.0;      ///< such a movement, in its standard deviations
    double finder_overlooks = 0.0;  ///< a moving line is found steady
    double finder_overlooks_family = 0.0;
    double finder_overlooks_rc = 0.0;  ///< the same of what a resistor and a capacitor time

    // How far a line moves in one recording, relative: ln of it is normal about the pace, with these spreads.
    double rc_drift = 0.0;  ///< pace of a resistor and a capacitor
    double rc_pace_spread_below = 0.0;
    double rc_pace_spread_above = 0.0;
    double converter_pace = 0.0;  ///< of what follows the load
    double converter_pace_spread = 0.0;
    double stray_pace = 0.0;  ///< of tones that nobody declared
    double stray_pace_spread = 0.0;
    double pace_unsure_limit = 0.0;  ///< what a movement's uncertainty adds to the spread, at most
    double beyond_pace = 0.0;        ///< probability of a movement which the oscillator cannot make
    double crystal_restless = 0.0;   ///< movement of a crystal's line
    /// the same as a share of a declared tolerance, where that is more
    double tolerance_restless = 0.0;
    double restless_sds = 0.0;  ///< uncertainty of a path's movement, in those of its mean frequency
    /// uncertainty of a moving line's mean, as a share of its movement
    double moving_unseen_share = 0.0;  ///< of its movement, by the share of the take in which it is not seen
    double moving_mean_share = 0.0;
    /// a steady line seen for a smaller share of the time may be a piece of a moving one
    double whole_from = 0.0;
    double piece_share = 0.0;       ///< what the harmonics of such a piece may differ by, relative
    double same_drift = 0.0;        ///< lines of one source drift alike but for this, relative
    double same_drift_share = 0.0;  ///< … and this share of the drift

    // How far a steady line goes in one recording, relative: standard deviations and shares.
    double still_drift = 0.0;      ///< of a crystal's, by a good recorder
    double recorder_drift = 0.0;   ///< by a poor one
    double recorder_share = 0.0;   ///< share of poor ones
    double slow_drift = 0.0;       ///< of one that drifts
    double far_drift = 0.0;        ///< of one that drifts far
    double far_drift_share = 0.0;  ///< of those that drift
    double drifting_share = 0.0;   ///< of strays

    // Harmonics of one wandering source follow one path.
    double family_drift_sd = 0.0;   ///< how well they agree in relative drift
    double path_drift_share = 0.0;  ///< … and this share of the movement
    double stray_drift = 0.0;       ///< drift of tones that have nothing to do with each other (Laplace)
    double path_gain_limit = 0.0;   ///< log odds that one line's path can add
    double path_loss_limit = 0.0;   ///< and take

    // States and takes.
    double sings_when_active = 0.0;   ///< in one take, for a rate that sings in some
    double active_when_unsaid = 0.0;  ///< take without a state, rate not active in every state
    double unsaid_one_state = 0.0;    ///< that all takes whose state is not said are of one state
    double state_error = 0.0;         ///< heard in a state in which the sheet says it does not run
    double background_in_take = 0.0;  ///< an undeclared tone that is in some take is in this one
    /// a line of a rate that sings in a take, loud enough, is found in it
    double line_in_take = 0.0;

    // How far a tone falls when the microphone moves from 3 cm to 60 cm, dB (match/far_fall.h).
    double far_board_fall_db = 0.0;        ///< of the board, on average
    double far_distance_sd_db = 0.0;       ///< by how hands hold 3 cm and 60 cm: the same for all lines of a source
    double far_line_sd_db = 0.0;           ///< one line of the board by itself
    double far_room_distance_sd_db = 0.0;  ///< of what is in the room: nearer or farther than before
    double far_room_line_sd_db = 0.0;      ///< one line of the room by itself
    double far_beside = 0.0;               ///< of what nobody declared, that which is of the board or right beside it
    double far_beside_machine = 0.0;       ///< the same of machines and of the mains' multiples
    double far_astray = 0.0;               ///< a board's source falls as the room's do
    double far_twin_prior = 0.0;           ///< something in the room has a declared rate
    double far_unmoved = 0.0;              ///< the microphone was not moved
    double far_unmoved_sd_db = 0.0;        ///< what a tone's level differs by then

    // How much the level of a moving line swings (tones/judge/level_swing.h): lognormal about so many dB, with a spread
    // of its logarithm.
    double swing_near_db = 0.0, swing_near_spread = 0.0;  ///< at the microphone
    double swing_held_db = 0.0, swing_held_spread = 0.0;  ///< the same where a hand, a load or a gain control moves it
    double swing_held_share = 0.0;
    double swing_far_db = 0.0, swing_far_spread = 0.0;  ///< across a room
    /// of rates that sing slowly those whose noise shows it, of rooms those with such a pace by chance, and the most
    /// that it is worth; MODEL.md 27
    double pulse_share = 0.0, pulse_stray = 0.0, pulse_odds_limit = 0.0;
    double swing_far_near_share = 0.0;  ///< of the room's, what stands as near as the board

    // A header that says another sample rate than the samples have (match/misread.h).
    double misread_usual = 0.0;  ///< 48 kHz for 44.1 kHz, or the reverse
    double misread_other = 0.0;  ///< each other pair

    // A line this near to a tone cannot be seen beside it: the largest of the three.
    double hide_least_hz = 0.0;
    double hide_cycles = 0.0;       ///< divided by the time looked at together
    double hide_sds = 0.0;          ///< standard deviations of the tone's frequency
    double coherent_seconds = 0.0;  ///< the longest piece that is looked at together

    // What an oscilloscope shows (match/trace_match.h).
    double trace_undeclared = 0.0;  ///< nobody's rate
    /// weight of a rate whose rail, or the trace's, is not said; 1 on the trace's own
    double trace_unknown_rail = 0.0;
    double trace_other_rail = 0.0;       ///< … on another rail: through the common supply or ground
    double trace_log_band = 0.0;         ///< ln of the band in which an undeclared rate may be
    double trace_doubled = 0.0;          ///< it repeats at twice the rate
    double trace_halved = 0.0;           ///< at half
    double trace_moves_wandering = 0.0;  ///< from the trace to the recording, relative
    double trace_moves_loose = 0.0;      ///< the same of a loose rate
    double trace_astray = 0.0;           ///< probability that the trace is of another moment
    double trace_odds_factor = 0.0;      ///< a rate that visibly moves a wire: its prior odds to sing

    // A toggle plan's trial (match/toggle_match.h).
    double trial_other_part = 0.0;  ///< a tone that follows one part's switching is another's: by its load or supply
    double trial_undeclared = 0.0;  ///< of undeclared tones, those that would follow a part as this one does
    double trial_stays_on = 0.0;    ///< a part makes a tone that stays as it is when the part is switched off
    double trial_line_odds = 0.0;   ///< where a rate's line follows its part: the rate's prior odds to sing

    // What an experiment would show (match/experiments/experiments.h).
    double outcome_unforeseen = 0.0;   ///< an outcome that fits no alternative of a source
    double line_emerges_anyway = 0.0;  ///< a line emerges in a longer recording that nobody foresaw
    double room_share = 0.0;           ///< of undeclared tones, those that turn out to be the room's
    double undeclared_stays = 0.0;     ///< one stays where only a named part changes, at least
    double undeclared_drifts = 0.0;    ///< … and drifts when a part is warmed
    double trial_loose_ppm = 0.0;      ///< a rate is worth warming from this tolerance on
    double warmth_moves = 0.0;         ///< such a rate drifts when it is warmed
    double warmth_moves_others = 0.0;  ///< any other
    double load_ends_burst = 0.0;      ///< a burst ends under load
    double press_tells = 0.0;          ///< pressing near the source changes the level
    double press_misleads = 0.0;       ///< pressing elsewhere does
};

MatchParameters fitted_parameters();

/// How a fitted parameter is searched: in its logit, in its logarithm or as it is.
enum class Scale { share, positive, plain };

/// One number of the model and where it comes from. A fitted one starts from `start` and is drawn towards it as by a
/// normal prior of standard deviation `spread` on its scale; the search ends `search_spreads` of these from the start.
/// A held one has its value in `start`.
struct ParameterEntry {
    const char* name;
    double MatchParameters::*value;
    double start;
    const char* held_by;  ///< who says so; null where it is fitted
    Scale scale;
    double spread;
    bool fitted() const { return held_by == nullptr; }
};
inline constexpr double search_spreads = 4.0;
std::span<const ParameterEntry> parameter_entries();

}  // namespace tattletone::match
