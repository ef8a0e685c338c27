#include "tones/detect/steady.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <numeric>

#include "tones/detect/line_limits.h"
#include "tones/detect/line_shape.h"
#include "tones/detect/present_fit.h"
#include "tones/detect/sweep_fit.h"

namespace tattletone::tones {
namespace {

// Half a second at 500 Hz: below, there is no room for a line and its neighbourhood.
constexpr std::size_t fewest_bins = 128;
constexpr std::size_t most_candidates = 600;
// A line whose power outside its run is below this share of that inside sounds for that run alone.
constexpr double silent_share = 0.1;
constexpr double lobe_margin = 1.5;
constexpr std::size_t sweep_parts = 2 * steady_parts;
// Where the windowless floor is above the Hann one by more than this, leakage made it.
constexpr double leaky_floor = 1.3;

struct Candidate {
    double bin = 0.0;
    double power = 0.0;
    double over_floor = 0.0;
};

struct Fitted {
    LineFit fit;
    double noise = 0.0;
    bool hann = false;
    // What the detection is judged by.
    double signal_to_noise() const { return std::norm(fit.half_amplitude) / (noise * fit.noise_gain); }
};

class Scanner {
  public:
    Scanner(const SegmentSpectrum& spectrum, Band band, double false_alarm_rate, const RejectionLimits& limits)
        : spectrum_(spectrum), limits_(limits) {
        first_ = std::max<std::size_t>(static_cast<std::size_t>(std::ceil(band.low_hz * spectrum.seconds())), 32);
        last_ = std::min(static_cast<std::size_t>(band.high_hz * spectrum.seconds()), spectrum.bins() - 33);
        last_ = std::max(last_, first_);
        plain_power_.resize(spectrum.bins());
        hann_power_.resize(spectrum.bins());
        const auto values = spectrum.values();
        for (std::size_t k = 0; k < plain_power_.size(); ++k) plain_power_[k] = std::norm(values[k]);
        for (std::size_t k = 1; k + 1 < hann_power_.size(); ++k)
            hann_power_[k] = std::norm(values[k] + 0.5f * (values[k - 1] + values[k + 1]));
        hann_power_.front() = hann_power_[1];
        hann_power_.back() = hann_power_[hann_power_.size() - 2];
        const double least = 0.5 * quietest_density * spectrum.bin_hz();
        plain_floor_ = NoiseFloor(plain_power_, floor_block, least);
        hann_floor_ = NoiseFloor(hann_power_, floor_block, 1.5 * least);
        threshold_ =
            steady_threshold(static_cast<double>(last_ - first_ + 1), false_alarm_rate, floor_relative_sd(floor_block));
    }

    SteadyScan scan() {
        find_hann();
        find_plain();
        refine();
        SteadyScan result;
        result.threshold = threshold_;
        result.bin_hz = spectrum_.bin_hz();
        result.crowded = crowded_;
        std::sort(lines_.begin(), lines_.end(),
                  [](const Fitted& a, const Fitted& b) { return a.signal_to_noise() > b.signal_to_noise(); });
        for (std::size_t i = 0; i < lines_.size(); ++i) {
            if (lines_[i].signal_to_noise() < threshold_ || skirt_of_partial(lines_[i].fit)) continue;
            auto line = describe(i);
            if (line && !told(result.lines, *line))
                result.lines.push_back(std::move(*line));
            else if (!line)
                result.event_hz.push_back(lines_[i].fit.bin * spectrum_.bin_hz());
        }
        for (const Fitted& line : lines_) result.fits.push_back(line.fit);
        std::sort(result.event_hz.begin(), result.event_hz.end());
        std::sort(result.lines.begin(), result.lines.end(),
                  [](const SteadyLine& a, const SteadyLine& b) { return a.hz < b.hz; });
        result.floor = std::move(plain_floor_);
        return result;
    }

  private:
    // Bins in which a local maximum of `power` stands over the floor by `least`, strongest first.
    void find_hann() {
        std::vector<Candidate> candidates;
        std::vector<float> expanded(hann_power_.size());
        hann_floor_.expand(expanded);
        const auto least = static_cast<float>(candidate_share * threshold_);
        for (std::size_t k = first_; k <= last_; ++k) {
            const float here = hann_power_[k];
            if (here < least * expanded[k]) continue;
            if (here < hann_power_[k - 1] || here <= hann_power_[k + 1]) continue;
            const double over = here / expanded[k];
            // Grandke's ratio of the two largest bins is exact for a Hann window.
            const bool above = hann_power_[k + 1] > hann_power_[k - 1];
            const double ratio = std::sqrt(static_cast<double>(above ? hann_power_[k + 1] : hann_power_[k - 1]) / here);
            const double offset = std::clamp((2.0 * ratio - 1.0) / (ratio + 1.0), 0.0, 0.5);
            candidates.push_back({static_cast<double>(k) + (above ? offset : -offset), here, over});
        }
        keep_strongest(candidates);
        for (const Candidate& candidate : candidates) {
            const double noise = hann_floor_.at(candidate.bin) / 1.5;
            Fitted fitted{fit_line_hann(spectrum_, candidate.bin, noise), noise, true};
            if (std::abs(fitted.fit.bin - candidate.bin) > 1.0) continue;
            if (fitted.signal_to_noise() < threshold_) continue;
            if (!too_near(fitted.fit.bin, 1.5)) lines_.push_back(fitted);
        }
    }

    void find_plain() {
        std::vector<Candidate> candidates;
        const auto values = spectrum_.values();
        std::vector<float> expanded(plain_power_.size());
        plain_floor_.expand(expanded);
        const auto least = static_cast<float>(candidate_share * threshold_);
        for (std::size_t k = first_; k <= last_; ++k) {
            if (plain_power_[k] + plain_power_[k + 1] < least * expanded[k]) continue;
            // Between two bins a line shows in their sum (their phases differ by half a turn), at
            // most the sum of their powers.
            const double on = plain_power_[k];
            const double between = 0.5 * std::norm(values[k] + values[k + 1]);
            const double power = std::max(on, between);
            const double floor = expanded[k];
            if (power < candidate_share * threshold_ * floor) continue;
            candidates.push_back({static_cast<double>(k) + (between > on ? 0.5 : 0.0), power, power / floor});
        }
        keep_strongest(candidates);
        std::vector<Fitted> found;
        for (const Candidate& candidate : candidates) {
            if (too_near(candidate.bin, 2.0) || leakage(candidate.bin) > leakage_share * candidate.power) continue;
            const double noise = plain_noise(candidate.bin);
            Fitted fitted{fit_line(spectrum_, candidate.bin, noise, {}), noise, false};
            if (std::abs(fitted.fit.bin - candidate.bin) > 1.0) continue;
            if (fitted.signal_to_noise() < threshold_) continue;
            const bool known = std::any_of(found.begin(), found.end(), [&](const Fitted& other) {
                return std::abs(other.fit.bin - fitted.fit.bin) < 2.0;
            });
            if (!known) found.push_back(fitted);
        }
        lines_.insert(lines_.end(), found.begin(), found.end());
    }

    // Every line once more without its neighbours, twice, where that is better than the Hann fit.
    void refine() {
        for (int round = 0; round < 2; ++round) {
            for (std::size_t i = 0; i < lines_.size(); ++i) {
                const std::vector<LineFit> others = neighbours(i);
                const double noise = plain_noise(lines_[i].fit.bin);
                LineFit fit = fit_line(spectrum_, lines_[i].fit.bin, noise, others);
                if (std::abs(fit.bin - lines_[i].fit.bin) > 0.7) continue;
                const double hann_noise = hann_floor_.at(fit.bin) / 1.5;
                // The plain floor beside a strong line holds its leakage, which the fit takes out.
                fit.bin_sd *= std::sqrt(std::min(1.0, std::max(fit.residual, hann_noise) / noise));
                const bool clean = fit.residual < 2.0 * std::max(noise, hann_noise);
                const Fitted plain{fit, noise, false};
                if (clean && plain.signal_to_noise() >= threshold_)
                    lines_[i] = plain;
                else if (!lines_[i].hann)
                    lines_[i] = {fit_line_hann(spectrum_, fit.bin, hann_noise), hann_noise, true};
            }
        }
    }

    // With nothing subtracted: an event is met by several lines that between them make its shape,
    // and what is left of each without the others fills the segment.
    bool is_event(const LineFit& fit) const {
        std::vector<double> power;
        for (const auto& part : amplitude_by_part(spectrum_, fit, {}, steady_parts)) power.push_back(std::norm(part));
        std::sort(power.begin(), power.end());
        const auto loud = power.end() - static_cast<std::ptrdiff_t>(power.size() / 4);
        const double rest = std::accumulate(power.begin(), loud, 0.0);
        return rest < limits_.event_rest_share * (rest + std::accumulate(loud, power.end(), 0.0));
    }

    // Two lines beside each other that both turn out to be one that sounds for a part, or that
    // moves.
    bool told(const std::vector<SteadyLine>& lines, const SteadyLine& line) const {
        return std::any_of(lines.begin(), lines.end(), [&](const SteadyLine& other) {
            const double path_hz =
                std::max(std::abs(other.end_hz - other.start_hz), std::abs(line.end_hz - line.start_hz));
            return std::abs(other.hz - line.hz) <
                   0.5 * spectrum_.bin_hz() / std::min(other.present, line.present) + 0.5 * path_hz;
        });
    }

    // A line that moves through several bins leaves a piece or two of itself in the whole segment's
    // spectrum: the sweep that holds more than all of them is the line.
    std::optional<SteadyLine> sweep_over_pieces(const Fitted& fitted) const {
        if (spectrum_.seconds() < shortest_sweep_seconds) return std::nullopt;
        const auto parts =
            amplitude_by_part(spectrum_, fitted.fit, neighbours(fitted.fit.bin, widest_sweep_bins), sweep_parts);
        // Strongest first (lines_ are in that order); fits within a bin of each other are one
        // piece.
        double pieces = 0.0;
        std::vector<double> counted;
        for (const Fitted& other : lines_) {
            if (std::abs(other.fit.bin - fitted.fit.bin) > widest_sweep_bins) continue;
            if (std::any_of(counted.begin(), counted.end(),
                            [&](double bin) { return std::abs(bin - other.fit.bin) < 1.0; }))
                continue;
            counted.push_back(other.fit.bin);
            pieces += std::norm(other.fit.half_amplitude);
        }
        return swept_line(parts, fitted.fit, fitted.noise, pieces, spectrum_.seconds());
    }

    // Under the side lobes of a stronger line that sounds for a part only, |a| / (pi x) at x bins.
    bool skirt_of_partial(const LineFit& fit) const {
        return std::any_of(partials_.begin(), partials_.end(), [&](const Partial& partial) {
            const double distance = std::max(std::abs(fit.bin - partial.bin), 0.5);
            return std::abs(fit.half_amplitude) < lobe_margin * partial.amplitude / (std::numbers::pi * distance);
        });
    }

    std::optional<SteadyLine> describe(std::size_t index) {
        const Fitted& fitted = lines_[index];
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
        if (rest / static_cast<double>(kept) < limits_.event_mean_share * sum / count) return std::nullopt;

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
            set_path(line, fitted.fit.bin_sd, fitted.noise, parts, seconds);
        }
        return line;
    }

    std::vector<LineFit> neighbours(std::size_t index) const { return neighbours(lines_[index].fit.bin, 0.8); }

    // Those that leak into a line at `bin` and are farther from it than `apart` bins.
    std::vector<LineFit> neighbours(double bin, double apart) const {
        std::vector<LineFit> others;
        for (std::size_t j = 0; j < lines_.size(); ++j) {
            const double distance = std::abs(lines_[j].fit.bin - bin);
            const double leak =
                lines_[j].signal_to_noise() / std::pow(std::numbers::pi * std::max(distance - 24.0, 1.0), 2.0);
            if (distance > apart && leak > 0.01) others.push_back(lines_[j].fit);
        }
        return others;
    }

    double leakage(double bin) const {
        double sum = 0.0;
        for (const Fitted& line : lines_) {
            const double distance = std::numbers::pi * std::max(std::abs(line.fit.bin - bin), 0.3);
            sum += std::norm(line.fit.half_amplitude) / (distance * distance);
        }
        return sum;
    }

    // The Hann floor is the truer one near strong lines, which are subtracted; the plain one where
    // everything leaks.
    double plain_noise(double bin) const {
        const double plain = plain_floor_.at(bin), hann = hann_floor_.at(bin) / 1.5;
        return plain < leaky_floor * hann ? plain : std::min(plain, leaky_floor * hann);
    }

    bool too_near(double bin, double bins) const {
        return std::any_of(lines_.begin(), lines_.end(),
                           [&](const Fitted& line) { return std::abs(line.fit.bin - bin) < bins; });
    }

    void keep_strongest(std::vector<Candidate>& candidates) {
        std::sort(candidates.begin(), candidates.end(),
                  [](const Candidate& a, const Candidate& b) { return a.over_floor > b.over_floor; });
        if (candidates.size() <= most_candidates) return;
        crowded_ =
            crowded_ || std::any_of(candidates.begin() + most_candidates, candidates.end(), [&](const Candidate& left) {
                return !too_near(left.bin, 2.0) && leakage(left.bin) <= leakage_share * left.power;
            });
        candidates.resize(most_candidates);
    }

    const SegmentSpectrum& spectrum_;
    const RejectionLimits& limits_;
    std::size_t first_ = 0, last_ = 0;
    std::vector<float> plain_power_, hann_power_;
    NoiseFloor plain_floor_, hann_floor_;
    double threshold_ = 0.0;
    bool crowded_ = false;
    std::vector<Fitted> lines_;
    struct Partial {
        double bin, amplitude;
    };
    std::vector<Partial> partials_;
};

}  // namespace

double noise_peaks_a_bin(double statistic, double floor_sd) {
    return std::sqrt(std::numbers::pi * statistic / 3.0) *
           std::exp(-statistic + 0.5 * statistic * statistic * floor_sd * floor_sd);
}

double steady_threshold(double bins, double false_alarm_rate, double floor_sd) {
    double t = std::log(bins / false_alarm_rate);
    for (int i = 0; i < 50; ++i) t += std::log(bins / false_alarm_rate * noise_peaks_a_bin(t, floor_sd));
    return t;
}

SteadyScan scan_steady(const SegmentSpectrum& spectrum, Band band, double false_alarm_rate,
                       const RejectionLimits& limits) {
    if (spectrum.bins() < fewest_bins) {
        SteadyScan nothing;
        nothing.bin_hz = spectrum.bin_hz();
        nothing.threshold = steady_threshold(1.0, false_alarm_rate, 0.0);
        const std::vector<float> power(floor_block, 1.0f);
        nothing.floor = NoiseFloor(power, floor_block, 1.0);
        return nothing;
    }
    return Scanner(spectrum, band, false_alarm_rate, limits).scan();
}

}  // namespace tattletone::tones
