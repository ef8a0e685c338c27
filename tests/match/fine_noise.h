#pragma once

#include <cmath>
#include <memory>

#include "match/cases.h"
#include "support/random.h"
#include "tones/detect/fine_spectrum.h"

namespace tattletone::cases {

/// Noise of ten seconds in which each step is exponential by itself, and the multiples of `hz` stand `snr` over it.
inline std::shared_ptr<FineSpectrum> noise_with(std::uint64_t seed, double hz, double snr, int first = 1,
                                                int last = 1000) {
    constexpr double seconds = 10.0;
    scenes::Random random(seed);
    auto fine = std::make_shared<FineSpectrum>();
    fine->step_hz = 0.5 / seconds;
    std::vector<double> line(static_cast<std::size_t>(20100.0 / fine->step_hz), 0.0);
    for (int n = first; n <= last && n * hz < 20000.0; ++n)
        line[static_cast<std::size_t>(std::lround(n * hz / fine->step_hz))] = snr;
    for (const double power : line) {
        const double re = random.normal() / std::sqrt(2.0) + std::sqrt(power), im = random.normal() / std::sqrt(2.0);
        fine->code.push_back(FineSpectrum::code_of(re * re + im * im));
    }
    return fine;
}

inline Take with(std::shared_ptr<FineSpectrum> fine, std::vector<Tone> tones = {}, const std::string& state = "") {
    Take made = take(std::move(tones), state);
    made.found.fine = std::move(fine);
    return made;
}

}  // namespace tattletone::cases
