#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

namespace tattletone::scope {

/// How often a trace repeats, and how well that is known.
struct Repetition {
    double hz = 0.0;
    double hz_sd = 0.0;           ///< one standard deviation, without the scope's clock error; 0.0 is never given
    double jitter_seconds = 0.0;  ///< root mean square of the events about an even train, noise included
    std::size_t skipped = 0;      ///< periods of the train without an event
    bool wanders = false;         ///< the events leave an even train by more than a tenth of a period
};

/// What one column of a trace shows. Values are in the column's unit.
struct TraceShape {
    double minimum = 0.0, maximum = 0.0, mean = 0.0;
    double noise_sd = 0.0;     ///< of one sample, from second differences (median); 0 for a noiseless one
    double ripple = 0.0;       ///< between the 0.05 % and 99.95 % quantiles of the smoothed trace, peak to peak
    double level = 0.0;        ///< the level that the next four refer to
    double below_share = 0.0;  ///< of the time, 0 to 1
    double below_seconds = 0.0, longest_below_seconds = 0.0;
    std::size_t times_below = 0;           ///< stretches below the level, a cut one at either end included
    bool dips_down = true;                 ///< the short side of the trace is the low one
    double event_level = 0.0;              ///< half way; where events are timed
    double duty = 0.0;                     ///< share of the time on the short side of `event_level`
    std::vector<double> events;            ///< seconds from the first sample: middle of each dip (or pulse)
    std::optional<Repetition> repetition;  ///< from three events on that come evenly
    double coarse_hz = 0.0;  ///< not 0: they seem to come so often, but too few samples fall on them to tell a rate
};

/// Of fewer samples nothing is known about noise, nor about what repeats.
inline constexpr std::size_t fewest_for_noise = 8;

/// `level`: where to measure time below; without one `event_level` is taken. `increment_sd` (relative) adds to
/// the rate's uncertainty. Of fewer than `fewest_for_noise` samples the extremes, the mean and the time below are told,
/// no rate. Dips are timed on both edges where the smoothed trace crosses half way, smoothed over as many samples as
/// time them best; a straight line through the events gives the rate. Its uncertainty is that of the line's slope under
/// independent errors, 12 s² / (n (n² - 1)) (least squares), and more where the residuals are slower than independent
/// ones.
TraceShape analyse_trace(std::span<const float> values, double increment_seconds, double increment_sd,
                         std::optional<double> level = {});

}  // namespace tattletone::scope
