// Neighbours that come and go, or that are noise with resonances.

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "scenes/neighbour_sounds.h"
#include "support/events.h"
#include "support/names.h"

namespace tattletone::scenes {

namespace {

/// Strophes of chirps between 2 and 8 kHz that glide by up to a third in 0.05 to 0.4 s (common practice).
void add_birds(std::span<double> to, double level_rms, double sample_rate_hz, Random& random) {
    const double end_seconds = static_cast<double>(to.size()) / sample_rate_hz;
    double seconds = random.uniform(0.0, 1.0);
    while (seconds < end_seconds) {
        const double centre_hz = random.log_uniform(2000.0, 8000.0), glide = random.uniform(-0.3, 0.3);
        const double length_seconds = random.log_uniform(0.05, 0.4), pause_seconds = random.uniform(0.02, 0.2);
        const int chirps = random.between(2, 10);
        for (int chirp = 0; chirp < chirps && seconds < end_seconds; ++chirp) {
            const auto from = static_cast<std::size_t>(seconds * sample_rate_hz);
            const auto length = std::min(static_cast<std::size_t>(length_seconds * sample_rate_hz), to.size() - from);
            Path hz(path_length(length)), amplitude(path_length(length));
            for (std::size_t i = 0; i < hz.size(); ++i) {
                const double part = static_cast<double>(i) / static_cast<double>(hz.size());
                hz[i] = centre_hz * (1.0 + glide * (part - 0.5));
                amplitude[i] = std::sqrt(2.0) * level_rms * std::sin(std::numbers::pi * part);
            }
            add_line(to.subspan(from, length), sample_rate_hz, hz, 1.0, amplitude, 0.0);
            seconds += length_seconds + pause_seconds;
        }
        seconds += random.uniform(0.3, 2.5);
    }
}

/// Noise through a few resonances of quality 20 to 200: panels, pipes, housings (common practice).
void add_machinery(std::span<double> to, double level_rms, double sample_rate_hz, Random& random) {
    const int resonances = random.between(2, 7);
    for (int i = 0; i < resonances; ++i) {
        const double hz = random.log_uniform(200.0, 10000.0), q = random.log_uniform(20.0, 200.0);
        const Biquad filter = Biquad::band_pass(hz, q, sample_rate_hz);
        // A resonance passes noise in π/2 · hz/q of the band that the samples hold.
        const double passed = std::numbers::pi * hz / q / sample_rate_hz;
        const double rms = level_rms / std::sqrt(passed * resonances) * std::pow(10.0, 0.2 * random.normal());
        NoiseSource{rms, {filter}}.add_to(to, random);
    }
    NoiseSource{level_rms, {Biquad::first_order_low_pass(random.log_uniform(300.0, 3000.0), sample_rate_hz)}}.add_to(
        to, random);
}

}  // namespace

DrawnNeighbour draw_commotion(const Surroundings&, Random& random) {
    constexpr std::array<Commotion, 4> all{Commotion::speech, Commotion::typing, Commotion::birds,
                                           Commotion::machinery};
    constexpr const char* names[] = {"", "speech", "typing", "birds", "machinery"};
    DrawnNeighbour drawn;
    drawn.commotion = random.pick(all);
    drawn.what = names[static_cast<int>(drawn.commotion)];
    return drawn;
}

void add_commotion(std::span<double> to, Commotion which, double level_rms, double sample_rate_hz, Random& random) {
    switch (which) {
        case Commotion::none:
            break;
        case Commotion::speech:
            add_speech(to, sample_rate_hz, level_rms, random);
            break;
        case Commotion::typing:
            add_typing(to, sample_rate_hz, 4.0 * level_rms, random);
            break;
        case Commotion::birds:
            add_birds(to, level_rms, sample_rate_hz, random);
            break;
        case Commotion::machinery:
            add_machinery(to, level_rms, sample_rate_hz, random);
            break;
    }
}

}  // namespace tattletone::scenes
