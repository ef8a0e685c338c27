#include "tones/tones.h"

#include <algorithm>
#include <cassert>
#include <cmath>

namespace tattletone::tones {

FloorPoint floor_at(const Tones& tones, double hz) {
    const std::vector<FloorPoint>& floor = tones.floor;
    assert(!floor.empty());
    const auto after =
        std::lower_bound(floor.begin(), floor.end(), hz, [](const FloorPoint& p, double at) { return p.hz < at; });
    if (after == floor.begin()) return floor.front();
    if (after == floor.end()) return floor.back();
    const FloorPoint &low = *(after - 1), &high = *after;
    const double part = std::log(hz / low.hz) / std::log(high.hz / low.hz);
    const auto between = [part](double a, double b) { return a + part * (b - a); };
    return {hz, between(low.noise_dbfs_per_hz, high.noise_dbfs_per_hz),
            between(low.steady_above_dbfs, high.steady_above_dbfs),
            between(low.wandering_above_dbfs, high.wandering_above_dbfs)};
}

}  // namespace tattletone::tones
