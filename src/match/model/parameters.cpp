#include "match/model/parameters.h"

namespace tattletone::match {

MatchParameters fitted_parameters() {
    MatchParameters p;
#define TATTLETONE_PARAMETER(name, number) p.name = number;
#include "match/model/parameters_table.inc"
#undef TATTLETONE_PARAMETER
    return p;
}

std::span<const ParameterEntry> parameter_entries() {
#define ENTRY(name, low, high, fitted) \
    { #name, &MatchParameters::name, low, high, fitted }
    static constexpr ParameterEntry entries[] = {
        ENTRY(singing_prior, 0.05, 0.15, false),
        ENTRY(family_prior, 0.02, 0.3, true),
        ENTRY(card_sd_ppm, 20, 100, false),
        ENTRY(model_error_ppm, 0.1, 2, false),
        ENTRY(outside_mass, 0.001, 0.05, false),
        ENTRY(outside_sd, 0.01, 0.1, false),
        ENTRY(pulse_emission, 0.5, 0.98, true),
        ENTRY(pulse_fall, 0.0, 1.0, true),
        ENTRY(soft_pulse_fall, 0.3, 3.0, true),
        ENTRY(square_odd, 0.5, 0.98, true),
        ENTRY(square_even, 0.02, 0.5, true),
        ENTRY(uneven_square_even, 0.2, 0.95, true),
        ENTRY(sine_strong, 0.5, 0.98, true),
        ENTRY(sine_weak, 0.05, 0.7, true),
        ENTRY(sine_rest, 0.01, 0.4, true),
        ENTRY(lowest_order_fall, 0.2, 2.0, false),
        ENTRY(subharmonic, 0.005, 0.1, true),
        ENTRY(sideband, 0.0005, 0.05, true),
        ENTRY(image, 0.005, 0.1, false),
        ENTRY(beat, 0.002, 0.1, true),
        ENTRY(level_mean_db, 0, 30, true),
        ENTRY(level_sd_db, 5, 25, true),
        ENTRY(pulse_db_per_octave, 0, 8, true),
        ENTRY(square_db_per_octave, 0, 10, true),
        ENTRY(sine_db_per_octave, 0, 14, true),
        ENTRY(line_scatter_db, 5, 14, true),
        ENTRY(take_scatter_db, 1, 8, true),
        ENTRY(spot_scatter_db, 4, 14, false),
        ENTRY(room_per_octave, 0.05, 4, false),
        ENTRY(room_steady, 0.3, 0.97, false),
        ENTRY(room_steady_level_db, 2, 30, false),
        ENTRY(room_moving_level_db, 1, 30, false),
        ENTRY(background_per_octave, 0.02, 4, false),
        ENTRY(background_low_factor, 0.5, 6, true),
        ENTRY(round_share, 0.0005, 0.02, false),
        ENTRY(round_sd_ppm, 50, 500, false),
        ENTRY(unsure_factor, 5, 60, false),
        ENTRY(background_level_db, 5, 30, true),
        ENTRY(background_steady, 0.5, 0.97, true),
        ENTRY(crystal_steady, 0.9, 0.995, true),
        ENTRY(rc_steady, 0.05, 0.95, true),
        ENTRY(wandering_steady, 0.02, 0.4, true),
        ENTRY(rc_drift, 0.0005, 0.006, true),
        ENTRY(family_drift_sd, 0.0005, 0.01, true),
        ENTRY(sings_when_active, 0.5, 0.99, false),
        ENTRY(active_when_unsaid, 0.2, 0.8, false),
        ENTRY(state_error, 0.002, 0.05, false),
        ENTRY(background_in_take, 0.4, 0.95, true),
    };
#undef ENTRY
    return entries;
}

}  // namespace tattletone::match
