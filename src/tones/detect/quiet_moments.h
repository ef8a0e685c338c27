#pragma once

#include <span>
#include <vector>

#include "spectrum/periodogram.h"
#include "tones/detect/line_fit.h"
#include "tones/detect/noise_floor.h"
#include "tones/detect/steady.h"
#include "tones/judge/rejection_limits.h"

namespace tattletone::tones {

/// What the short frames say of the noise as it comes and goes.
struct NoiseInTime {
    std::span<const NoiseFloor> floors;  ///< of each frame, one-sided density
    double bin_hz = 0.0;                 ///< of the floors
    double hop_seconds = 0.0, first_centre_seconds = 0.0;
};

/// Steady lines that stand out only in the quiet moments between words, drops or strokes. Where noise
/// changes with time, the likelihood-ratio test weighs each moment by the inverse of its noise (the
/// matched filter in noise that is white but not stationary: H. L. Van Trees, Detection, Estimation,
/// and Modulation Theory I, 1968, section 4.3), and a transform of the whole loses what the loud
/// moments hide: often 10 dB or more. Looks only in parts of the band where that gains 1.5 dB, and
/// tells nothing that is within 1.5 bins of `known`. Such a line is there throughout as far as can
/// be told. `false_alarm_rate` as for scan_steady(); `crowded` is set as its `crowded` where there were
/// more peaks than are fitted.
std::vector<SteadyLine> lines_in_quiet_moments(const SegmentSpectrum& spectrum, std::span<const LineFit> known,
                                               const NoiseInTime& noise, Band band, double false_alarm_rate,
                                               bool& crowded, const RejectionLimits& limits = {});

}  // namespace tattletone::tones
