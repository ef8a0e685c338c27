#include "tones/detect/steady.h"

#include <cmath>
#include <numbers>

#include "tones/detect/steady_scanner.h"

namespace tattletone::tones {

double noise_peaks_a_bin(double statistic, double floor_sd) {
    return std::sqrt(std::numbers::pi * statistic / 3.0) *
           std::exp(-statistic + 0.5 * statistic * statistic * floor_sd * floor_sd);
}

double steady_threshold(double bins, double false_alarm_rate, double floor_sd) {
    double t = std::log(bins / false_alarm_rate);
    for (int i = 0; i < 50; ++i) t += std::log(bins / false_alarm_rate * noise_peaks_a_bin(t, floor_sd));
    return t;
}

SteadyScan scan_steady(const SegmentSpectrum& spectrum, Band band, double false_alarm_rate) {
    if (spectrum.bins() < fewest_bins) {
        SteadyScan nothing;
        nothing.bin_hz = spectrum.bin_hz();
        nothing.threshold = steady_threshold(1.0, false_alarm_rate, 0.0);
        const std::vector<float> power(floor_block, 1.0f);
        nothing.floor = NoiseFloor(power, floor_block, 1.0);
        return nothing;
    }
    return SteadyScanner(spectrum, band, false_alarm_rate).scan();
}

}  // namespace tattletone::tones
