#include "tones/detect/quiet_moments.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <numeric>
#include <optional>

#include "spectrum/transform.h"
#include "tones/detect/line_limits.h"

namespace tattletone::tones {
namespace {

using std::numbers::pi;

// Sounds that come and go differ from one part of the band to the next.
constexpr std::array edges_hz{40.0, 400.0, 1000.0, 2000.0, 3500.0, 5500.0, 8000.0, 11000.0, 15000.0, 20000.0};
constexpr std::size_t fewest_bins_of_segment = 1024;
constexpr std::size_t fewest_quiet_frames = 12;
constexpr double least_gain = 1.41;
constexpr double least_quiet_seconds = 2.2;  // as of lines that wander: vowels and notes are shorter
constexpr std::size_t most_quiet_candidates = 60;
constexpr std::size_t parts_a_segment = 128;
constexpr double nearest_known_bins = 1.5;
constexpr double pieces_bins = 8.0, pieces_hz = 1.5, piece_share = 0.25;
constexpr double near_bins = 4.0, skirt_margin = 2.25;
constexpr double clean_residual = 1.6, fitted_bins = 49.0;

class Listener {
  public:
    Listener(const SegmentSpectrum& spectrum, std::span<const LineFit> known, const NoiseInTime& noise,
             const RejectionLimits& limits)
        : spectrum_(spectrum), known_(known), noise_(noise), limits_(limits) {}

    struct Part {
        std::size_t first = 0, last = 0;  // bins
        std::vector<double> weight;       // by frame, mean 1
    };

    /// A part of the band in which weighing gains enough, and holds out long enough.
    std::optional<Part> worthwhile(double low_hz, double high_hz) const {
        Part part;
        part.first = static_cast<std::size_t>(std::ceil(low_hz * spectrum_.seconds()));
        part.last = std::min(static_cast<std::size_t>(high_hz * spectrum_.seconds()), spectrum_.bins() - 33);
        if (part.last < part.first + fewest_bins_of_segment) return std::nullopt;
        part.weight = weights(low_hz, high_hz);
        const double count = static_cast<double>(part.weight.size());
        double noise = 0.0, squares = 0.0;
        for (const double w : part.weight) noise += 1.0 / w, squares += w * w;
        if (noise / count < least_gain || count * noise_.hop_seconds * count / squares < least_quiet_seconds)
            return std::nullopt;
        return part;
    }

    std::vector<SteadyLine> lines(const Part& part, double threshold, bool& crowded) const {
        const std::vector<std::complex<float>> bins = weighed(part);
        std::vector<float> power(bins.size());
        for (std::size_t k = 0; k < bins.size(); ++k) power[k] = std::norm(bins[k]);
        std::vector<float> floor(bins.size());
        NoiseFloor(power, floor_block, 1e-30).expand(floor);
        std::vector<std::pair<double, double>> candidates;  // power over the floor, bin
        for (std::size_t k = 1; k + 1 < bins.size(); ++k) {
            const double between = 0.5 * std::norm(bins[k] + bins[k + 1]);
            const double over = std::max<double>(power[k], between) / floor[k];
            if (over > candidate_share * threshold)
                candidates.emplace_back(over, static_cast<double>(part.first + k) + (between > power[k] ? 0.5 : 0.0));
        }
        std::sort(candidates.rbegin(), candidates.rend());
        if (candidates.size() > most_quiet_candidates) {
            crowded = crowded || std::any_of(candidates.begin() + most_quiet_candidates, candidates.end(),
                                             [&](const auto& left) { return !near_known(left.second); });
            candidates.resize(most_quiet_candidates);
        }
        std::vector<SteadyLine> fitted;
        for (const auto& [over, bin] : candidates) {
            if (near_known(bin)) continue;
            auto line = fit(bin, threshold);
            if (line && !in_skirt_of_known(*line, part)) fitted.push_back(std::move(*line));
        }
        std::sort(fitted.begin(), fitted.end(),
                  [](const SteadyLine& a, const SteadyLine& b) { return a.signal_to_noise > b.signal_to_noise; });
        std::vector<SteadyLine> lines;
        for (SteadyLine& line : fitted) {
            bool told = false;
            for (SteadyLine& other : lines) {
                const double apart_hz = std::abs(other.hz - line.hz);
                const bool skirt = under(line, other.mean_square, other.hz * spectrum_.seconds(), part);
                // Two of a kind side by side are one that moves.
                if (!skirt && apart_hz < pieces_reach() && apart_hz > nearest_known_bins * spectrum_.bin_hz() &&
                    line.mean_square > piece_share * other.mean_square)
                    other.hz_sd = std::max(other.hz_sd, 0.5 * apart_hz);
                told = told || skirt || apart_hz < pieces_reach();
            }
            if (!told) lines.push_back(std::move(line));
        }
        return lines;
    }

  private:
    // Inverse of the noise by frame; every piece of the part counts alike, however loud it is.
    std::vector<double> weights(double low_hz, double high_hz) const {
        constexpr double step = 32.0;
        const std::size_t count = noise_.floors.size();
        std::vector<double> noise(count), levels(count);
        for (double bin = low_hz / noise_.bin_hz; bin < high_hz / noise_.bin_hz; bin += step) {
            double inverse = 0.0;
            for (std::size_t m = 0; m < count; ++m) {
                levels[m] = noise_.floors[m].at(bin);
                inverse += 1.0 / levels[m];
            }
            for (std::size_t m = 0; m < count; ++m) noise[m] += levels[m] * inverse;
        }
        double sum = 0.0;
        for (double& value : noise) sum += value = 1.0 / value;
        for (double& value : noise) value *= static_cast<double>(count) / sum;
        return noise;
    }

    template <class At>
    double in_time(double seconds, At at) const {
        const double last = static_cast<double>(noise_.floors.size() - 1);
        const double frame = std::clamp((seconds - noise_.first_centre_seconds) / noise_.hop_seconds, 0.0, last);
        const auto before = static_cast<std::size_t>(frame);
        const auto after = std::min(before + 1, noise_.floors.size() - 1);
        const double share = frame - static_cast<double>(before);
        return at(before) + share * (at(after) - at(before));
    }

    bool near_known(double bin) const {
        return std::any_of(known_.begin(), known_.end(),
                           [&](const LineFit& line) { return std::abs(line.bin - bin) < nearest_known_bins + 0.5; });
    }

    double pieces_reach() const { return std::max(pieces_bins * spectrum_.bin_hz(), pieces_hz); }

    // Weighing spreads a line over its neighbours as the weights' own spectrum has it.
    bool under(const SteadyLine& line, double mean_square, double bin, const Part& part) const {
        const double distance = std::abs(line.hz * spectrum_.seconds() - bin);
        std::complex<double> spread{};
        const double frames = static_cast<double>(part.weight.size());
        for (std::size_t m = 0; m < part.weight.size(); ++m)
            spread += part.weight[m] * std::polar(1.0 / frames, 2.0 * pi * distance * static_cast<double>(m) / frames);
        // Between frames the weights run straight, which keeps their spectrum narrow.
        const double x = pi * distance / frames;
        const double straight = x < 1e-3 ? 1.0 : std::pow(std::sin(x) / x, 4);
        const double share = distance < near_bins ? 1.0 : skirt_margin * std::norm(spread) * straight;
        return line.mean_square < mean_square * std::min(share, 1.0);
    }

    // What is left of a known line that is not steady enough to be subtracted.
    bool in_skirt_of_known(const SteadyLine& line, const Part& part) const {
        return std::any_of(known_.begin(), known_.end(), [&](const LineFit& known) {
            double noise = 0.0;
            for (const NoiseFloor& floor : noise_.floors)
                noise += floor.at(known.bin / spectrum_.seconds() / noise_.bin_hz);
            noise *= 0.5 / spectrum_.seconds() / static_cast<double>(noise_.floors.size());
            const double left = known.residual - clean_residual * noise;
            return left > 0.0 && under(line, 2.0 * left * fitted_bins, known.bin, part);
        });
    }

    // The part's bins as if the sound had been multiplied by the weights, known lines left out.
    std::vector<std::complex<float>> weighed(const Part& part) const {
        const std::size_t count = part.last - part.first + 1;
        const std::size_t size = spectrum::fast_size_at_least(count);
        std::vector<std::complex<float>> bins(size), sound(size);
        std::copy_n(spectrum_.values().begin() + static_cast<std::ptrdiff_t>(part.first), count, bins.begin());
        for (const LineFit& line : known_) subtract(line, part.first, std::span(bins).first(count));
        spectrum::ComplexTransform transform(size);
        // Back by the conjugate's transform. The spectrum's phases are of the middle, so the sound
        // comes with its second half first.
        for (auto& bin : bins) bin = std::conj(bin);
        transform.forward(bins, sound);
        const double seconds = spectrum_.seconds();
        for (std::size_t j = 0; j < size; ++j) {
            const double turn = static_cast<double>(j) / static_cast<double>(size) + 0.5;
            const double weight =
                in_time((turn - std::floor(turn)) * seconds, [&](std::size_t frame) { return part.weight[frame]; });
            sound[j] = std::conj(sound[j]) * static_cast<float>(weight / static_cast<double>(size));
        }
        transform.forward(sound, bins);
        bins.resize(count);
        return bins;
    }

    static void subtract(const LineFit& line, std::size_t first, std::span<std::complex<float>> bins) {
        // sin(pi (bin - k)) alternates with k.
        const double offset = line.bin - static_cast<double>(first);
        const double wave = std::sin(pi * offset) / pi;
        for (std::size_t k = 0; k < bins.size(); ++k) {
            const double x = offset - static_cast<double>(k);
            const double kernel = std::abs(x) < 1e-6 ? 1.0 : (k % 2 == 0 ? wave : -wave) / x;
            bins[k] -= static_cast<std::complex<float>>(line.half_amplitude * kernel);
        }
    }

    // The same statistic again, now with the noise at the line's own frequency and between bins.
    std::optional<SteadyLine> fit(double bin, double threshold) const {
        LineFit start;
        start.bin = bin;
        std::vector<LineFit> others;
        for (const LineFit& line : known_)
            if (std::abs(line.bin - bin) < 3.0 * parts_a_segment) others.push_back(line);
        const auto parts = amplitude_by_part(spectrum_, start, others, parts_a_segment);
        const double seconds = spectrum_.seconds();
        const double count = static_cast<double>(parts.size());
        std::vector<double> weight(parts.size());  // inverse of a part's noise power
        for (std::size_t m = 0; m < parts.size(); ++m) {
            const double density = in_time((static_cast<double>(m) + 0.5) / count * seconds, [&](std::size_t frame) {
                return noise_.floors[frame].at(bin / seconds / noise_.bin_hz);
            });
            weight[m] = 1.0 / (0.5 * density / seconds * count);
        }
        const double total = std::accumulate(weight.begin(), weight.end(), 0.0);
        double middle = 0.0, spread = 0.0;
        for (std::size_t m = 0; m < parts.size(); ++m) middle += weight[m] * time_of(m) / total;
        for (std::size_t m = 0; m < parts.size(); ++m) spread += weight[m] * std::pow(time_of(m) - middle, 2) / total;

        const auto amplitude_at = [&](double offset) {
            std::complex<double> sum{};
            for (std::size_t m = 0; m < parts.size(); ++m)
                sum += weight[m] * parts[m] * std::polar(1.0, -2.0 * pi * offset * (time_of(m) - middle));
            return sum / total;
        };
        double best = 0.0, step = 0.1;
        for (double offset = -1.0; offset <= 1.0; offset += step)
            if (std::norm(amplitude_at(offset)) > std::norm(amplitude_at(best))) best = offset;
        for (; step > 1e-4; step *= 0.5)
            for (const double offset : {best - 0.5 * step, best + 0.5 * step})
                if (std::norm(amplitude_at(offset)) > std::norm(amplitude_at(best))) best = offset;
        const std::complex<double> amplitude = amplitude_at(best);
        const double signal_to_noise = std::norm(amplitude) * total;
        if (signal_to_noise < threshold || near_known(bin + best)) return std::nullopt;

        SteadyLine line;
        line.hz = line.start_hz = line.end_hz = (bin + best) / seconds;
        line.signal_to_noise = signal_to_noise;
        line.mean_square = 2.0 * std::norm(amplitude);
        std::vector<double> along(parts.size());
        double scatter = 0.0;  // of what is left, as it bears on the frequency
        for (std::size_t m = 0; m < parts.size(); ++m) {
            const std::complex<double> turned = parts[m] * std::polar(1.0, -2.0 * pi * best * (time_of(m) - middle));
            along[m] = (turned * std::conj(amplitude)).real() / std::norm(amplitude);
            scatter += std::norm(weight[m] * (time_of(m) - middle) * (turned - amplitude));
        }
        if (best_quarter_carries(along, weight, total)) return std::nullopt;
        // From what is left of each part, since the noise of a moment is known roughly and a line
        // may wander by itself; not below what the noise would have it.
        const double variance = std::max(scatter / (total * spread), 1.0) / (2.0 * signal_to_noise * spread);
        line.hz_sd = std::sqrt(variance) / (2.0 * pi * seconds) * (1.0 + 2.0 / signal_to_noise);
        const std::size_t group = parts.size() / steady_parts;
        for (std::size_t first = 0; first < parts.size(); first += group) {
            double sum = 0.0, weights = 0.0;
            for (std::size_t m = first; m < first + group; ++m) sum += weight[m] * along[m], weights += weight[m];
            line.part_mean_square.push_back(2.0 * std::norm(amplitude) * std::pow(std::max(sum / weights, 0.0), 2));
        }
        return line;
    }

    static double time_of(std::size_t part) {
        return (static_cast<double>(part) + 0.5) / static_cast<double>(parts_a_segment) - 0.5;
    }

    // A cry or a note speaks for a line in a piece of the time; a line does nearly everywhere.
    // Pieces hold equal shares of what is known.
    bool best_quarter_carries(const std::vector<double>& along, const std::vector<double>& weight, double total) const {
        std::array<double, steady_parts> sum{};
        double passed = 0.0;
        for (std::size_t m = 0; m < along.size(); ++m) {
            const double at = (passed + 0.5 * weight[m]) / total * static_cast<double>(steady_parts);
            sum[std::min(static_cast<std::size_t>(at), steady_parts - 1)] += weight[m] * along[m];
            passed += weight[m];
        }
        std::sort(sum.begin(), sum.end());
        const double rest = std::accumulate(sum.begin(), sum.end() - steady_parts / 4, 0.0);
        return rest < 0.75 * limits_.quiet_mean_share * total;
    }

    const SegmentSpectrum& spectrum_;
    std::span<const LineFit> known_;
    const NoiseInTime& noise_;
    const RejectionLimits& limits_;
};

}  // namespace

std::vector<SteadyLine> lines_in_quiet_moments(const SegmentSpectrum& spectrum, std::span<const LineFit> known,
                                               const NoiseInTime& noise, Band band, double false_alarm_rate,
                                               bool& crowded, const RejectionLimits& limits) {
    if (noise.floors.size() < fewest_quiet_frames || spectrum.bins() < fewest_bins_of_segment) return {};
    const Listener listener(spectrum, known, noise, limits);
    std::vector<Listener::Part> parts;
    double bins = 0.0;
    for (std::size_t i = 0; i + 1 < edges_hz.size(); ++i) {
        auto part = listener.worthwhile(std::max(edges_hz[i], band.low_hz), std::min(edges_hz[i + 1], band.high_hz));
        if (!part) continue;
        bins += static_cast<double>(part->last - part->first + 1);
        parts.push_back(std::move(*part));
    }
    std::vector<SteadyLine> lines;
    if (parts.empty()) return lines;
    const double threshold = steady_threshold(bins, false_alarm_rate, floor_relative_sd(floor_block));
    for (const Listener::Part& part : parts)
        for (SteadyLine& line : listener.lines(part, threshold, crowded)) lines.push_back(std::move(line));
    return lines;
}

}  // namespace tattletone::tones
