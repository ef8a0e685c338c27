#pragma once

#include <span>
#include <string>
#include <vector>

#include "tones/tones.h"

namespace tattletone::logbook {

/// A noise floor in ten bytes a point: hertz as a 32-bit float, the three levels in 1/100 dB as
/// 16-bit integers, little-endian. Levels outside ±327 dB are cut there.
std::string packed_floor(std::span<const tones::FloorPoint> floor);
/// Ends where the frequencies stop rising, and after 100 000 points: that was no floor of ours.
std::vector<tones::FloorPoint> unpacked_floor(const std::string& bytes);

/// "[12,500]" and back.
std::string packed_gaps(std::span<const std::size_t> gaps);

}  // namespace tattletone::logbook
