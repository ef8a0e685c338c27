#pragma once

#include <cmath>

namespace tattletone::base {

/// Power ratio to decibels and back. Zero or less gives -400 dB, so that silence stays printable.
inline double power_to_db(double power) {
    return power > 1e-40 ? 10.0 * std::log10(power) : -400.0;
}
inline double db_to_power(double db) {
    return std::pow(10.0, 0.1 * db);
}

/// Mean square of samples to dBFS. 0 dBFS is a sine that touches full scale (mean square 1/2), the
/// convention of AES17 and IEC 61606; a full-scale square wave is +3.01 dBFS.
inline double mean_square_to_dbfs(double mean_square) {
    return power_to_db(2.0 * mean_square);
}
inline double dbfs_to_mean_square(double dbfs) {
    return 0.5 * db_to_power(dbfs);
}

}  // namespace tattletone::base
