#include "scope/trace_times.h"

#include <algorithm>
#include <cmath>
#include <vector>

namespace tattletone::scope {

TraceTimes fit_times(std::span<const double> seconds) {
    TraceTimes times;
    const auto count = static_cast<double>(seconds.size());
    const double middle = 0.5 * (count - 1.0);
    double mean = 0.0, slope = 0.0;
    for (const double t : seconds) mean += t - seconds[0];
    mean /= count;
    for (std::size_t i = 0; i < seconds.size(); ++i)
        slope += (static_cast<double>(i) - middle) * (seconds[i] - seconds[0] - mean);
    slope *= 12.0 / (count * (count * count - 1.0));
    times.increment_seconds = slope;
    times.start_seconds = seconds[0] + mean - slope * middle;

    double worst = 0.0, square = 0.0;
    std::vector<double> steps;
    const std::size_t every = seconds.size() / 100000 + 1;
    double largest = 0.0;
    for (std::size_t i = 0; i < seconds.size(); ++i) {
        const double off = seconds[i] - (times.start_seconds + slope * static_cast<double>(i));
        worst = std::max(worst, std::abs(off));
        square += off * off;
        const double step = i > 0 ? seconds[i] - seconds[i - 1] : 0.0;
        if (step > largest) {
            largest = step;
            times.gap = i;
        }
        if (step > 0.0 && (i % every == 0 || seconds[i - 1] + 1.5 * slope < seconds[i])) steps.push_back(step);
    }
    std::nth_element(steps.begin(), steps.begin() + static_cast<std::ptrdiff_t>(steps.size() / 2), steps.end());
    const double usual = steps.empty() ? slope : steps[steps.size() / 2];
    times.even = worst <= 0.75 * usual;
    if (times.even || largest < 20.0 * std::max(usual, slope)) times.gap = 0;
    // Rounded times err alike over as many rows as share a time.
    const double independent = count * std::min(1.0, slope / usual);
    times.increment_sd = std::sqrt(12.0 * square / count / independent) / (count * slope);
    return times;
}

}  // namespace tattletone::scope
