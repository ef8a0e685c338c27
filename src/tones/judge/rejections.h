#pragma once

#include <span>
#include <vector>

#include "tones/detect/noise_floor.h"
#include "tones/judge/rejection_limits.h"
#include "tones/tones.h"

namespace tattletone::tones {

/// Marks the tones of one segment that do not behave as a board's would as `Origin::unsure`, each
/// for one reason: it follows the room's level, it is there for a part only, it is one of a moving
/// family, it is among rumble, it is one of a dense cluster. `tones` ascend in hz; `noise` is of
/// each short frame, `hop_seconds` from one to the next.
void rejection(std::vector<Tone>& tones, double hop_seconds, const std::vector<double>& noise,
               std::span<const double> event_hz, const RejectionLimits& limits);

/// Mean square of each frame's noise in the band, without what stands out of it: lines come and go
/// together. `bin_hz` is of the frames that the floors are of.
std::vector<double> noise_levels(std::span<const NoiseFloor> floors, double bin_hz, Band band);

}  // namespace tattletone::tones
