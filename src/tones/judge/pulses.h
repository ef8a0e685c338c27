#pragma once

#include <vector>

#include "tones/detect/line_fit.h"
#include "tones/tones.h"

namespace tattletone::tones {

/// Paces at which noise from 2 to 10 kHz comes and goes, ascending, 8/T to 400 Hz: lines in the spectra of its envelope
/// in three bands (DETECTION.md 12.4). Those that two tones beat with stand in one band only and are none. Empty where
/// fewer than two of the bands are usable.
std::vector<PulseLine> pulse_lines(const SegmentSpectrum& spectrum, const Band& usable);

}  // namespace tattletone::tones
