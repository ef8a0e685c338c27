#pragma once

#include <string>
#include <vector>

namespace tattletone::window {

/// The one frequency axis of the window. Positions are shares of its width, 0 at the left.
struct FrequencyAxis {
    double low_hz = 40.0, high_hz = 20000.0;
    bool logarithmic = true;

    double share(double hz) const;  ///< outside 0 … 1 where hz is outside; 0 Hz and less is far left
    double hz(double share) const;
    friend bool operator==(const FrequencyAxis&, const FrequencyAxis&) = default;
};

/// How far the axis may go. The narrowest view is 0.2 Hz, or a millionth of its frequency.
struct AxisLimits {
    double low_hz = 20.0, high_hz = 24000.0;
};

/// `factor` above 1 shows less; what is at `share` stays there as long as the limits let it.
FrequencyAxis zoomed(const FrequencyAxis& axis, double share, double factor, const AxisLimits& limits);
/// Moved so that what was at `share_moved` to the right of a point comes to lie on it.
FrequencyAxis panned(const FrequencyAxis& axis, double share_moved, const AxisLimits& limits);
FrequencyAxis whole(const AxisLimits& limits, bool logarithmic);
/// A view around one frequency, `span_hz` wide.
FrequencyAxis around(const FrequencyAxis& axis, double hz, double span_hz, const AxisLimits& limits);
/// The same stretch in the other division.
FrequencyAxis with_division(const FrequencyAxis& axis, bool logarithmic);

struct Tick {
    double hz = 0.0;
    std::string label;  ///< empty for a small tick
};

/// Ticks at round numbers, labelled ones at least `label_share` of the width apart.
std::vector<Tick> ticks(const FrequencyAxis& axis, double label_share);

}  // namespace tattletone::window
