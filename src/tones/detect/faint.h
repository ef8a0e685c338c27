#pragma once

#include <span>
#include <vector>

#include "tones/detect/line_fit.h"
#include "tones/detect/noise_floor.h"
#include "tones/judge/rejection_limits.h"
#include "tones/tones.h"

namespace tattletone::tones {

/// Peaks of one segment's spectrum too low to be told from noise by themselves, ascending in hz: those from
/// which a search at a few declared places may still tell a line. None near `known` lines, nor among the
/// notes and cries at `event_hz`. None at all, and `crowded` set, where the peaks are too many for noise.
std::vector<FaintLine> faint_lines(const SegmentSpectrum& spectrum, const NoiseFloor& floor, Band band,
                                   double threshold, std::span<const LineFit> known, std::span<const double> event_hz,
                                   bool& crowded, const RejectionLimits& limits = {});

}  // namespace tattletone::tones
