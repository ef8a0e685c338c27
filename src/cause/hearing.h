#pragma once

#include <optional>

namespace tattletone::cause {

/// Who hears a lone tone in quiet, from tables of otologically normal people. No hearing test.
enum class Sex { male, female };

inline constexpr double lowest_age = 18.0;
inline constexpr double lowest_age_table_hz = 1000.0, highest_age_table_hz = 8000.0;

/// Median threshold at 18 years in dB SPL, free field from the front, both ears: ISO 389-7:2019 (as ISO
/// 226:2023 up to 12.5 kHz), 20 Hz to 18 kHz. Between the rows interpolated in log frequency, which is ours.
std::optional<double> hearing_threshold_db(double hz);

/// How much more a median listener of this age needs than at 18: ISO 7029:2017, a · (age - 18)^b, from 1 kHz
/// to 8 kHz, to 80 years at 2 kHz and below, to 70 above. Between the rows interpolated in log frequency.
std::optional<double> age_loss_db(double hz, double age, Sex sex);
double oldest_at(double hz);

/// What the best and the worst tenth need more than the median at 18. The spread is that of the 2000 edition
/// (s_u = b_u + 0.445 · loss, s_l = b_l + 0.356 · loss), from memory, about the 2017 median: for a man of 60
/// within 1 dB (upper) and 4 dB (lower) of the 2017 edition.
struct AgeSpread {
    double best_tenth_db = 0.0, worst_tenth_db = 0.0;
};
std::optional<AgeSpread> age_spread(double hz, double age, Sex sex);

}  // namespace tattletone::cause
