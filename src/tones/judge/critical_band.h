#pragma once

#include <optional>
#include <span>
#include <vector>

#include "tones/tones.h"

namespace tattletone::tones {

// Formulae of ECMA-418-1, 3rd edition 2024 (the method that ECMA-74 Annex D and ISO 7779 Annex D
// had). Frequencies in Hz. Where a clause is printed with an error, the comment says what is used.

/// Width of the critical band, clause 10, Formula (2).
double critical_bandwidth_hz(double hz);
/// Its edges: arithmetic to 500 Hz, geometric above; Formulae (4) (5) (7) (8). The rule steps at
/// 500 Hz.
Band critical_band(double hz);
/// Bands below and above it for the prominence ratio, Tables 2 and 3; the lower is cut at 20 Hz.
Band lower_neighbour(double hz);
Band upper_neighbour(double hz);
/// Two tones nearer than this count as one of summed power; clause 11.6, Formula (14).
double proximity_hz(double hz);

/// Limits at and above which a tone is prominent, Formulae (12) (13) and (25) (26). None
/// outside 89.1 Hz to 11.2 kHz: above, the standard gives ratios and no criterion.
std::optional<double> tone_to_noise_limit_db(double hz);
std::optional<double> prominence_limit_db(double hz);

/// A density over frequency (one-sided, units² per Hz, bin 0 at 0 Hz) with its running sum, so that
/// the power between two frequencies costs the same whatever the band. Outside the bins there is
/// none.
class DensityIntegral {
  public:
    DensityIntegral() = default;
    DensityIntegral(std::span<const double> per_hz, double bin_hz);
    double power(double low_hz, double high_hz) const;
    double highest_hz() const;

  private:
    std::vector<double> sum_;
    double bin_hz_ = 1.0;
};

/// A line as the ratios need it: its power in the units of the density, and how far from `hz` its
/// power is spread there (half the main lobe of the density's window, and the line's own wander).
struct LinePower {
    double hz = 0.0;
    double power = 0.0;
    double half_width_hz = 0.0;
};

/// Tone-to-noise ratio of lines[which], clause 11: the tone (with its proximate neighbours, summed)
/// over the noise of its critical band. The noise is the band without the segments that lines take
/// up, scaled to the whole band, Δf_c / (Δf_tot - Δf_t) as ECMA-74 Annex D has it. Every line of
/// `lines` in the band is left out, a step beyond the standard, which knows two tones in a band.
/// `lines` ascend in hz. dB.
double tone_to_noise_db(const DensityIntegral& density, std::span<const LinePower> lines, std::size_t which);

/// Prominence ratio, clause 12, Formulae (23) (24): the critical band over the mean of its two
/// neighbours; up to 171.4 Hz the lower neighbour is scaled to 100 Hz. dB. Where the recording ends
/// within the upper neighbour, its power is scaled from the part that is there.
double prominence_ratio_db(const DensityIntegral& density, double hz);

/// Whether either criterion is met; none where there is no criterion.
std::optional<bool> is_prominent(double hz, double tone_to_noise, double prominence);

}  // namespace tattletone::tones
