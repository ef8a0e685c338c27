#pragma once

#include <algorithm>

#include "base/text/number.h"

namespace tattletone::match {

/// Decimals of the frequencies in findings' JSON, by their uncertainty: one digit more than it leaves, so that
/// rounding adds nothing to it.
inline int hz_decimals(double hz_sd) {
    return std::clamp(base::decimals_for(hz_sd) + 1, 2, 7);
}
inline int drift_decimals(double drift_hz_sd) {
    return base::decimals_for(drift_hz_sd) + 1;
}

}  // namespace tattletone::match
