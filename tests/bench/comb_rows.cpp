#include "bench/comb_rows.h"

#include <cmath>
#include <numbers>

#include "bench/bench_tone.h"
#include "match/diagnose.h"
#include "tones/find_tones.h"

namespace tattletone::scenes {
namespace {

/// Of the sum of `count` exponentials of mean 1: P(sum > x), by the Poisson sum of Erlang's tail.
double tail_of_sum(int count, double x) {
    double term = std::exp(-x), sum = term;
    for (int j = 1; j < count; ++j) sum += term *= x / j;
    return sum;
}

/// P(sum > x) where each is |z + a|² with |a|² = snr: a Poisson mixture of the above.
double tail_with_lines(int count, double x, double snr) {
    const double mean = count * snr;
    double weight = std::exp(-mean), term = std::exp(-x), tail = term, sum = 0.0;
    for (int j = 1; j < count; ++j) tail += term *= x / j;
    for (int j = 0; j < 4000; ++j) {
        sum += weight * std::min(tail, 1.0);
        if (j > mean && weight < 1e-12) break;
        weight *= mean / (j + 1);
        term *= x / (count + j);
        tail += term;
    }
    return sum;
}

Recording recording_of(const CombRow& row, double level_db_hz, Random& random) {
    const auto samples = static_cast<std::size_t>(bench_seconds * bench_rate_hz);
    Signal signal(samples);
    NoiseSource{bench_noise_rms, {}}.add_to(signal, random);
    const double density = bench_noise_rms * bench_noise_rms / (0.5 * bench_rate_hz);
    const double amplitude = std::sqrt(2.0 * density * std::pow(10.0, 0.1 * level_db_hz));
    const double tolerance = 1e-6 * row.tolerance_ppm;
    const double deviation =
        row.resistor ? random.uniform(-tolerance, tolerance) : 0.5 * tolerance * random.cut_normal(2.0);
    for (int n = row.first; n <= row.last; ++n)
        add_line(signal, bench_rate_hz, n * row.hz * (1.0 + deviation), amplitude,
                 random.uniform(0.0, 2.0 * std::numbers::pi));
    Recording recording;
    recording.sample_rate_hz = bench_rate_hz;
    recording.origin = "bench";
    recording.codec = "pcm";
    recording.samples = quantise_16_bit(signal);
    return recording;
}

BoardSheet sheet_of(const CombRow& row) {
    BoardSheet sheet;
    sheet.name = "Bench";
    Part part;
    part.id = part.name = "part";
    sheet.parts.push_back(part);
    Rate rate;
    rate.id = rate.full_name = "part.rate";
    rate.hz = row.hz;
    rate.tolerance_ppm = row.tolerance_ppm;
    sheet.rates.push_back(rate);
    return sheet;
}

}  // namespace

std::vector<CombRow> comb_rows() {
    return {{"crystal 1000 Hz, 12 lines", 1000.0, 100.0, 1, 12, false},
            {"RC 400 Hz ±2 %, 24 lines", 400.0, 20000.0, 1, 24, true},
            {"RC 120 Hz ±1 %, 40 lines", 120.0, 10000.0, 1, 40, true},
            {"crystal 31.25 Hz, lines 30 to 129", 31.25, 100.0, 30, 129, false},
            {"crystal 9600 Hz, 2 lines", 9600.0, 100.0, 1, 2, false}};
}

double comb_limit_db_hz(const CombRow& row, double seconds, double false_alarm_rate) {
    // Deviations that the highest line tells apart.
    const double cells = std::max(1.0, 2e-6 * row.tolerance_ppm * row.last * row.hz * seconds);
    double low = 0.0, high = 500.0 + 2.0 * row.lines();
    while (high - low > 1e-4) {
        const double middle = 0.5 * (low + high);
        (cells * tail_of_sum(row.lines(), middle) > false_alarm_rate ? low : high) = middle;
    }
    const double threshold = low;
    double least = -30.0, most = 20.0;
    while (most - least > 1e-3) {
        const double middle = 0.5 * (least + most);
        const double snr = std::pow(10.0, 0.1 * middle) * seconds;
        (snr < 300.0 && tail_with_lines(row.lines(), threshold, snr) < 0.5 ? least : most) = middle;
    }
    return least;
}

double share_named(const CombRow& row, double level_db_hz, int trials, Random& random) {
    const BoardSheet sheet = sheet_of(row);
    int named = 0;
    for (int trial = 0; trial < trials; ++trial) {
        std::vector<Take> takes(1);
        takes[0].found = find_tones(recording_of(row, level_db_hz, random));
        named += diagnose(&sheet, unite(std::move(takes), nullptr)).verdict == Verdict::named;
    }
    return static_cast<double>(named) / trials;
}

double half_named_db_hz(const CombRow& row, double near_db, double step_db, int trials, Random& random) {
    double level = near_db, share = share_named(row, level, trials, random);
    for (int steps = 0; steps < 24; ++steps) {
        const double towards = share < 0.5 ? step_db : -step_db;
        const double next = share_named(row, level + towards, trials, random);
        if ((share < 0.5) != (next < 0.5)) return level + towards * (0.5 - share) / (next - share);
        level += towards;
        share = next;
    }
    return level;
}

}  // namespace tattletone::scenes
