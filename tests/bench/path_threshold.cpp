// What the best path through white noise scores: the constants of tones/detect/line_tracker.cpp, path_threshold().
//   path_threshold [TRIALS]
// For each rung and length the best score of each trial is fitted by a Gumbel law; the program prints
// its location and scale, times the number of frames, for tests of the constants and for new ones.
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <numbers>
#include <random>
#include <vector>

#include "spectrum/transform.h"
#include "support/names.h"
#include "tones/detect/line_tracker.h"

using namespace tattletone;

int main(int argc, char** argv) {
    const int trials = argc > 1 ? std::atoi(argv[1]) : 200;
    constexpr double sample_rate_hz = 48000.0;
    std::printf("rung     seconds frames  mean score  location  scale*frames  sd\n");
    for (const auto& [frame_seconds, most_bins] : {std::pair{0.68, 2}, std::pair{0.15, 3}}) {
        for (const double seconds : {3.0, 5.0, 10.0, 20.0}) {
            std::vector<double> best;
            double frames = 0.0;
            for (int trial = 0; trial < trials; ++trial) {
                std::mt19937_64 random(static_cast<unsigned>(trial) + 7000u);
                std::normal_distribution<float> normal(0.0f, 0.01f);
                std::vector<float> samples(static_cast<std::size_t>(seconds * sample_rate_hz));
                for (float& x : samples) x = normal(random);
                const Frames spectra =
                    frame_spectra(samples, sample_rate_hz,
                                  fast_size_at_most(static_cast<std::size_t>(frame_seconds * sample_rate_hz)));
                const TrackedLines scan = track_lines(spectra, frame_floors(spectra), mean_density(spectra),
                                                      {40.0, 20000.0}, {}, {most_bins, 0.001, 1});
                frames = static_cast<double>(spectra.count);
                best.push_back(scan.best_score);
            }
            double mean = 0.0, square = 0.0;
            for (const double s : best) mean += s / trials;
            for (const double s : best) square += (s - mean) * (s - mean) / (trials - 1);
            const double scale = std::sqrt(6.0 * square) / std::numbers::pi;
            std::printf("%.2f s   %5.0f  %5.0f   %8.4f   %8.4f   %8.4f  %8.4f\n", frame_seconds, seconds, frames, mean,
                        mean - 0.57722 * scale, scale * frames, std::sqrt(square));
            std::fflush(stdout);
        }
    }
}
