// Rate of a dipping rail against its Cramér-Rao bound: dips of one known shape in white noise, each with its own
// jitter. Timing one dip has a variance of at least s² = noise² / Σ v'(t)² over its samples, plus the jitter's;
// a train of n dips with independent errors gives the period a variance of at least 12 s² / (n (n² - 1))
// (S. M. Kay, Fundamentals of Statistical Signal Processing: Estimation Theory, 1993, examples 3.13 and 4.1:
// range and line fitting).
// trace_bound [trials]

#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <vector>

#include "scope/trace_rate.h"
#include "support/names.h"
#include "support/random.h"

namespace {

using namespace tattletone;

constexpr double increment = 1e-6, true_hz = 9600.3, depth = 0.3;

/// A dip with straight edges, `edge` long each; 0 outside, 1 at its bottom.
double dip(double t, double width, double edge) {
    const double from_middle = std::abs(t);
    if (from_middle <= 0.5 * (width - edge)) return 1.0;
    if (from_middle >= 0.5 * (width + edge)) return 0.0;
    return (0.5 * (width + edge) - from_middle) / edge;
}

struct Case {
    double noise, jitter, width, edge;
    int dips;
};

}  // namespace

int main(int argc, char** argv) {
    const int trials = argc > 1 ? std::atoi(argv[1]) : 200;
    const Case cases[] = {{0.003, 0.0, 20e-6, 6e-6, 100}, {0.03, 0.0, 20e-6, 6e-6, 100},
                          {0.03, 0.0, 20e-6, 6e-6, 1000}, {0.003, 0.3e-6, 20e-6, 6e-6, 100},
                          {0.01, 1e-6, 20e-6, 6e-6, 300}, {0.03, 0.0, 50e-6, 30e-6, 200},
                          {0.06, 0.0, 40e-6, 20e-6, 300}, {0.003, 0.0, 20e-6, 6e-6, 8}};
    std::printf("noise/depth jitter_us edge_us dips | rms error Hz | over its bound | rms error / hz_sd | found\n");
    bool good = true;
    for (const Case& c : cases) {
        const double period = 1.0 / true_hz;
        scenes::Random random(77);
        double square = 0.0, honest = 0.0;
        int found = 0;
        for (int trial = 0; trial < trials; ++trial) {
            const auto samples = static_cast<std::size_t>(c.dips * period / increment);
            std::vector<float> values(samples);
            const double phase = random.uniform(0.3, 0.7) * period;
            std::vector<double> middles;
            for (int k = -1; k <= c.dips + 1; ++k) middles.push_back(phase + period * k + c.jitter * random.normal());
            for (std::size_t i = 0; i < samples; ++i) {
                const double t = increment * static_cast<double>(i);
                const auto k = static_cast<std::size_t>(std::lround((t - phase) / period) + 1);
                values[i] =
                    static_cast<float>(3.3 - depth * dip(t - middles[k], c.width, c.edge) + c.noise * random.normal());
            }
            const TraceShape shape = analyse_trace(values, increment, 0.0);
            if (!shape.repetition) continue;
            ++found;
            const double error = shape.repetition->hz - true_hz;
            square += error * error;
            honest += error * error / (shape.repetition->hz_sd * shape.repetition->hz_sd);
        }
        const double edge_samples = c.edge / increment;
        const double timing = c.noise * c.noise / (2.0 * edge_samples * std::pow(depth / c.edge, 2));
        const double n = c.dips;
        const double bound = true_hz * true_hz * std::sqrt(12.0 * (timing + c.jitter * c.jitter) / (n * (n * n - 1.0)));
        const double rms = std::sqrt(square / std::max(found, 1)), ratio = std::sqrt(honest / std::max(found, 1));
        std::printf("%11.3f %9.2f %7.1f %4d | %12.5f | %14.2f | %17.2f | %d of %d\n", c.noise / depth, 1e6 * c.jitter,
                    1e6 * c.edge, c.dips, rms, rms / bound, ratio, found, trials);
        good = good && found == trials && rms < 1.6 * bound && ratio > 0.5 && ratio < 1.5;
    }
    return good ? 0 : 1;
}
