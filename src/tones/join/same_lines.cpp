#include "tones/join/same_lines.h"

#include <algorithm>
#include <cmath>

namespace tattletone::tones {
namespace {

/// The mains, fans and voices keep no frequency from one take to the next, however steady in one.
bool keeps_its_frequency(const Tone& tone, const RejectionLimits& limits) {
    return tone.hz > limits.room_machines_hz || tone.origin == Origin::board;
}

/// How far two tones of different recordings are apart, in units of what they may be; above 1: not
/// the same line. Steady lines by their frequencies, wandering ones by whether their paths meet.
double distance(const Tone& a, const Tone& b, const RejectionLimits& limits) {
    // The grid moves by hundreds of ppm between takes, and all its multiples with it.
    if (a.mains_multiple > 0 && a.mains_multiple == b.mains_multiple &&
        std::abs(a.mains_hz - b.mains_hz) < limits.mains_share * a.mains_hz)
        return 0.5;
    if (a.steady && b.steady && keeps_its_frequency(a, limits) && keeps_its_frequency(b, limits)) {
        const double allowed =
            std::max(limits.room_sds * std::hypot(a.hz_sd, b.hz_sd), limits.room_drift_ppm * 1e-6 * a.hz);
        return std::abs(a.hz - b.hz) / allowed;
    }
    const auto spread = [&](const Tone& tone) {
        const double path = 0.5 * std::abs(tone.end_hz - tone.start_hz);
        return tone.steady ? limits.room_sds * tone.hz_sd
                           : std::max(path, 2.0 * tone.wander_hz) + limits.room_sds * tone.hz_sd;
    };
    return std::abs(a.hz - b.hz) / (spread(a) + spread(b) + limits.room_gap * a.hz);
}

}  // namespace

std::vector<Link> matched(const std::vector<const Tone*>& left, const std::vector<const Tone*>& right,
                          const RejectionLimits& limits) {
    std::vector<Link> links;
    for (std::size_t i = 0; i < left.size(); ++i)
        for (std::size_t j = 0; j < right.size(); ++j)
            if (const double apart = distance(*left[i], *right[j], limits); apart <= 1.0)
                links.push_back({apart, i, j});
    std::sort(links.begin(), links.end(),
              [](const Link& a, const Link& b) { return a.apart != b.apart ? a.apart < b.apart : a.left < b.left; });
    std::vector<char> left_taken(left.size(), 0), right_taken(right.size(), 0);
    std::erase_if(links, [&](const Link& link) {
        if (left_taken[link.left] || right_taken[link.right]) return true;
        left_taken[link.left] = right_taken[link.right] = 1;
        return false;
    });
    return links;
}

std::optional<double> found_above_dbfs(const Tones& found, const Tone& tone) {
    if (found.floor.empty() || tone.hz < found.usable.low_hz || tone.hz > found.usable.high_hz) return std::nullopt;
    const FloorPoint floor = floor_at(found, tone.hz);
    return tone.steady ? floor.steady_above_dbfs : floor.wandering_above_dbfs;
}

}  // namespace tattletone::tones
