#include "tones/detect/steady_scanner.h"

namespace tattletone::tones {

// A line that moves through several bins leaves a piece or two of itself in the whole segment's
// spectrum: the sweep that holds more than all of them is the line.
std::optional<SteadyLine> SteadyScanner::sweep_over_pieces(const FittedPeak& fitted) const {
    if (spectrum_.seconds() < shortest_sweep_seconds) return std::nullopt;
    const auto parts =
        amplitude_by_part(spectrum_, fitted.fit, neighbours(fitted.fit.bin, widest_sweep_bins), sweep_parts);
    double apart = 0.0;
    for (const auto& part : parts) apart += std::norm(part) / static_cast<double>(parts.size());
    const double there = apart - static_cast<double>(parts.size()) * fitted.noise;
    if (there - std::norm(fitted.fit.half_amplitude) < least_lost * fitted.noise) return std::nullopt;
    const SweepFit sweep = fit_any_sweep(parts, fitted.noise);
    const double middle = fitted.fit.bin + sweep.bin_offset;
    // Strongest first (lines_ are in that order); fits within a bin of each other are one
    // piece.
    double pieces = 0.0;
    std::vector<double> counted;
    for (const FittedPeak& other : lines_) {
        if (std::abs(other.fit.bin - fitted.fit.bin) > widest_sweep_bins) continue;
        if (std::any_of(counted.begin(), counted.end(),
                        [&](double bin) { return std::abs(bin - other.fit.bin) < 1.0; }))
            continue;
        counted.push_back(other.fit.bin);
        pieces += std::norm(other.fit.half_amplitude);
    }
    const double power = std::norm(sweep.half_amplitude), seconds = spectrum_.seconds();
    if (power < pieces + least_gained * fitted.noise) return std::nullopt;
    // What begins or ends is met in part by a sweep, too.
    if (power < least_swept * there || std::abs(sweep.drift_bins) < least_sweep_bins) return std::nullopt;
    SteadyLine line;
    line.hz = middle / seconds;
    line.drift_hz = sweep.drift_bins / seconds;
    line.drift_hz_sd = sweep.drift_sd / seconds;
    line.start_hz = line.hz - 0.5 * line.drift_hz;
    line.end_hz = line.hz + 0.5 * line.drift_hz;
    line.signal_to_noise = power / fitted.noise;
    line.mean_square = 2.0 * power;
    // The bound of a steady line, which a drift leaves as it is at the middle.
    line.hz_sd = std::sqrt(1.5 / line.signal_to_noise) / std::numbers::pi / seconds * low_signal_growth(line);
    for (std::size_t m = 0; m + 1 < parts.size(); m += 2) {
        const double two = std::norm(parts[m]) + std::norm(parts[m + 1]);
        line.part_mean_square.push_back(std::max(two - 2.0 * static_cast<double>(parts.size()) * fitted.noise, 0.0));
    }
    return line;
}

// Under the side lobes of a stronger line that sounds for a part only, |a| / (pi x) at x bins.
bool SteadyScanner::skirt_of_partial(const LineFit& fit) const {
    return std::any_of(partials_.begin(), partials_.end(), [&](const Partial& partial) {
        const double distance = std::max(std::abs(fit.bin - partial.bin), 0.5);
        return std::abs(fit.half_amplitude) < lobe_margin * partial.amplitude / (std::numbers::pi * distance);
    });
}

std::optional<SteadyLine> SteadyScanner::describe(std::size_t index) {
    const FittedPeak& fitted = lines_[index];
    if (is_event(fitted.fit)) return std::nullopt;
    if (auto swept = sweep_over_pieces(fitted)) return swept;
    const auto parts = amplitude_by_part(spectrum_, fitted.fit, neighbours(index), steady_parts);
    const double count = static_cast<double>(parts.size());
    const std::complex<double> turn = std::conj(fitted.fit.half_amplitude) / std::abs(fitted.fit.half_amplitude);
    const double part_noise = fitted.noise * count;
    std::vector<double> along(parts.size());
    double sum = 0.0;
    SteadyLine line;
    for (std::size_t m = 0; m < parts.size(); ++m) {
        along[m] = (parts[m] * turn).real();
        sum += along[m];
        line.part_mean_square.push_back(std::max(2.0 * (std::norm(parts[m]) - part_noise), 0.0));
    }
    std::vector<double> sorted = along;
    std::sort(sorted.begin(), sorted.end());
    const std::size_t kept = parts.size() - parts.size() / 4;
    double rest = 0.0;
    for (std::size_t m = 0; m < kept; ++m) rest += sorted[m];
    if (rest / static_cast<double>(kept) < least_share_without_best_quarter * sum / count) return std::nullopt;

    const double seconds = spectrum_.seconds();
    line.hz = fitted.fit.bin / seconds;
    line.signal_to_noise = fitted.signal_to_noise();
    line.mean_square = 2.0 * std::norm(fitted.fit.half_amplitude);
    // A strong line that begins or ends leaves side lobes that were taken for lines beside it:
    // with none of them subtracted it is all in one run, and nearly nothing outside.
    PresentFit present = fit_while_present(spectrum_, fitted.fit, {}, fitted.noise);
    if (present.outside_share < silent_share)
        partials_.push_back({present.bin, std::abs(present.half_amplitude)});
    else
        present = fit_while_present(spectrum_, fitted.fit, neighbours(index), fitted.noise);
    line.present = present.end - present.begin;
    line.unsteadiness = unsteadiness(parts, present, part_noise);
    if (line.present < 1.0) {
        line.hz = line.start_hz = line.end_hz = present.bin / seconds;
        line.hz_sd = present.bin_sd / seconds * low_signal_growth(line);
        line.mean_square = 2.0 * std::norm(present.half_amplitude) * line.present;
    } else {
        set_path(line, fitted, parts, part_noise);
    }
    return line;
}

}  // namespace tattletone::tones
