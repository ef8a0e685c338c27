#include "scenes/mains_grid.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "support/names.h"

namespace tattletone::scenes {

namespace {
constexpr double sd_hz = 0.020;
constexpr double memory_seconds = 300.0;
}  // namespace

MainsGrid::MainsGrid(double nominal_hz, Random random)
    : nominal_hz_(nominal_hz), random_(random), off_sd_(random_.normal()) {}

void MainsGrid::pass(double seconds) {
    const double keep = std::exp(-seconds / memory_seconds);
    off_sd_ = keep * off_sd_ + std::sqrt(1.0 - keep * keep) * random_.normal();
}

Path MainsGrid::path(std::size_t samples, double sample_rate_hz) {
    std::vector<double> knots_hz;
    for (double seconds = 0.0; seconds <= static_cast<double>(samples) / sample_rate_hz + 1.0; seconds += 1.0) {
        knots_hz.push_back(nominal_hz_ + sd_hz * off_sd_);
        pass(1.0);
    }
    Path hz(path_length(samples));
    for (std::size_t i = 0; i < hz.size(); ++i) {
        const double seconds = static_cast<double>(i) * control_samples / sample_rate_hz;
        const auto knot = std::min(static_cast<std::size_t>(seconds), knots_hz.size() - 2);
        const double part = seconds - static_cast<double>(knot);
        hz[i] = knots_hz[knot] + part * (knots_hz[knot + 1] - knots_hz[knot]);
    }
    return hz;
}

}  // namespace tattletone::scenes
