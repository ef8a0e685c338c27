#pragma once

#include <vector>

#include "tones/unit_tones.h"

namespace tattletone {

/// A tone before and after a change, with the standard deviation of each difference (after minus
/// before). The uncertainty of levels is that of the noise alone; where the microphone stood adds
/// to it. Of two recordings by one sound card, so that its clock error falls out.
struct ToneChange {
    int before = 0, after = 0;  ///< ids; 0 where the tone is not there
    double hz = 0.0;            ///< where it is, or was
    double hz_change = 0.0, hz_sd = 0.0;
    double db_change = 0.0, db_sd = 0.0;
};

/// Tones in both, then those that went, then those that came; each group by frequency. Two tones
/// are the same line within 0.3 %, or 5 standard deviations where that is more.
std::vector<ToneChange> changes_between(const UnitTones& before, const UnitTones& after);

/// Standard deviation of a level in dB that noise of this density leaves (Cramér–Rao bound of an
/// amplitude, var A = 2 sigma² / N: Kay, Fundamentals of Statistical Signal Processing I, 3.41).
double level_sd_db(double level_dbfs, double noise_dbfs_per_hz, double seconds);

}  // namespace tattletone
