#include "match/search/weigh_unit.h"

#include <algorithm>
#include <cmath>

namespace tattletone::match {
namespace {

// Recordings differ in how many stray tones they hold: one that has more than usual is judged by its own density. Never
// by less than the usual one, so that a clean recording does not turn a lone tone in a wide window into proof.
double clutter_of(const Observations& observations, double single_tones) {
    const MatchParameters& p = observations.parameters;
    const double split = std::clamp(p.low_band_hz, observations.limits.low_hz,
                                    std::max(observations.limits.low_hz, observations.limits.high_hz));
    const double usual = (p.room_per_octave + p.background_per_octave) *
                         (p.background_low_factor * std::log2(split / observations.limits.low_hz) +
                          std::max(0.0, std::log2(observations.limits.high_hz / split)));
    return std::max(1.0, (p.clutter_prior_tones + single_tones) / (p.clutter_prior_tones + usual));
}

}  // namespace

JointPosterior weigh_unit(Observations& observations, const std::vector<Source>& sources, const CardGrid& grid) {
    const auto board_tones = std::count_if(observations.tones.begin(), observations.tones.end(),
                                           [](const ObservedTone& tone) { return tone.of_board; });
    const double clutter = clutter_of(observations, static_cast<double>(board_tones));
    set_clutter(observations, clutter);
    JointPosterior outcome = weigh_together(observations, sources, grid);
    const double revised = clutter_of(observations, outcome.single_tones);
    if (std::abs(std::log(revised / clutter)) > 0.05) {
        set_clutter(observations, revised);
        outcome = weigh_together(observations, sources, grid);
    }
    return outcome;
}

}  // namespace tattletone::match
