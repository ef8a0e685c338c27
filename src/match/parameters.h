#pragma once

#include <span>

namespace tattletone {

/// Every number of the match's model. Probabilities are between 0 and 1, widths are one standard
/// deviation. The values come from `fitted_parameters()`, the one generated table.
struct MatchParameters {
    // Who sings.
    double singing_prior = 0.0;          ///< a declared rate is heard at all
    double family_prior = 0.0;           ///< a harmonic family that nobody declared is heard
    double card_sd_ppm = 0.0;            ///< sound card's clock error, common to all takes
    double model_error_ppm = 0.0;        ///< a crystal's own change between lines and takes; adds to hz_sd
    double outside_mass = 0.0;           ///< share of rates that do not keep their tolerance
    double outside_sd = 0.0;             ///< how far off those are, relative

    // Which lines a singing rate has: probability that the drive has the line at all. Drives of one shape
    // come in two characters, equally likely beforehand, and all lines of a rate tell which it is.
    double pulse_emission = 0.0;         ///< n-th harmonic of a pulse: emission / n^fall
    double pulse_fall = 0.0;             ///< of a short pulse
    double soft_pulse_fall = 0.0;        ///< of a long or rounded one
    double square_odd = 0.0;
    double square_even = 0.0;            ///< of an even square wave (duty cycle one half)
    double uneven_square_even = 0.0;     ///< of one whose duty cycle is not quite one half
    double sine_strong = 0.0;            ///< the fundamental; where the sound follows the square, 2f
    double sine_weak = 0.0;              ///< the other one of the two
    double sine_rest = 0.0;
    double lowest_order_fall = 0.0;      ///< share of rates whose lowest line found is the n-th: (n / 2)^-fall
    double subharmonic = 0.0, sideband = 0.0, image = 0.0, beat = 0.0;

    // How loud: a rate's level over the threshold of its lines, and one line's scatter about it.
    double level_mean_db = 0.0, level_sd_db = 0.0;
    double pulse_db_per_octave = 0.0, square_db_per_octave = 0.0, sine_db_per_octave = 0.0;
    double line_scatter_db = 0.0;        ///< a board's resonances
    double take_scatter_db = 0.0;        ///< between takes at one spot
    double spot_scatter_db = 0.0;        ///< between takes at different spots

    // Tones that nobody declared. The room's stand little over their thresholds and may move; those of
    // undeclared sources are as loud as a board's.
    double room_per_octave = 0.0;        ///< above 1 kHz, in a usual room
    double room_steady = 0.0;            ///< share that is steady
    double room_steady_level_db = 0.0, room_moving_level_db = 0.0;  ///< mean height over the threshold (exponential)
    double background_per_octave = 0.0;  ///< of undeclared sources, above 1 kHz
    double background_low_factor = 0.0;  ///< below 1 kHz, against above, of both
    double round_share = 0.0;            ///< undeclared tones near each multiple of 1 kHz: other people's clocks are round too
    double round_sd_ppm = 0.0;           ///< how near
    double unsure_factor = 0.0;          ///< the same for tones whose origin is unsure
    double background_level_db = 0.0;    ///< of undeclared sources: mean height over the threshold (exponential)
    double background_steady = 0.0;      ///< share of them that is steady

    // How a line moves in time: share found steady, and the drift of the others.
    double crystal_steady = 0.0;
    double rc_steady = 0.0;
    double wandering_steady = 0.0;
    double rc_drift = 0.0;               ///< relative, for tolerances of 0.5 % and more
    double family_drift_sd = 0.0;        ///< how well harmonics of one path agree in relative drift

    // States and takes.
    double sings_when_active = 0.0;      ///< in one take, for a rate that sings in some
    double active_when_unsaid = 0.0;     ///< take without a state, rate not active in every state
    double state_error = 0.0;            ///< heard in a state in which the sheet says it does not run
    double background_in_take = 0.0;     ///< an undeclared tone that is in some take is in this one
};

MatchParameters fitted_parameters();

/// Names and limits for the fitting program.
struct ParameterEntry {
    const char* name;
    double MatchParameters::* value;
    double low, high;
    bool fitted;                         ///< false: held at a stated assumption
};
std::span<const ParameterEntry> parameter_entries();

}  // namespace tattletone
