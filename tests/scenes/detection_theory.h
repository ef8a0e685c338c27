#pragma once

namespace tattletone::scenes {

/// Probability that the full-length periodogram of `seconds` finds a steady line of the given carrier to
/// noise density, when noise alone exceeds the threshold in any of the fs·seconds/2 bins with probability
/// `false_alarm_rate`: the generalised likelihood-ratio test (S. M. Kay, Fundamentals of Statistical Signal
/// Processing II, 7.6). The statistic is a non-central chi-square with two degrees of freedom, the scallop
/// of a plain transform not counted.
double periodogram_detection(double carrier_to_density_db_hz, double seconds, double sample_rate_hz,
                             double false_alarm_rate);

}  // namespace tattletone::scenes
