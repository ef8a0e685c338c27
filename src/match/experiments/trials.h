#pragma once

#include <vector>

#include "board/sheet/sheet.h"
#include "match/findings.h"
#include "match/model/parameters.h"

namespace tattletone::match {

/// What can become of the tones that one source makes: a effect for each of them, all at once.
struct Effect {
    Forecast::Effect effect = Forecast::Effect::stays;
    double hz = 0.0;  ///< where it goes; `moves` only
    /// What somebody at the bench can tell apart: lines within 0.2 %, and no more.
    bool looks_like(const Effect& other) const;
};
struct Alternative {
    double probability = 0.0;
    std::vector<Effect> effects;  ///< in the order of the source's tones
};

/// The tones in question and what the match knows about them.
struct TrialView {
    const board::BoardSheet& sheet;
    const Findings& findings;
    const MatchParameters& parameters;
    std::vector<int> suspects;  ///< rates that make a tone with 0.02 or more, the likeliest first

    const tones::UnitTone& tone(int id) const;
    const board::Rate& rate(int index) const { return sheet.rates[static_cast<std::size_t>(index)]; }
    const board::Part& part(int rate_index) const;
    double sample_rate_hz() const;
};

/// Everything that could be done next: what to do, the caution, the option; nothing weighed yet.
std::vector<Experiment> possible_trials(const TrialView& bench);

/// What becomes of these tones if they are one rate's (rate -1: nobody declared them; then one tone), likeliest first.
/// Probabilities sum to 1.
std::vector<Alternative> alternatives(const TrialView& bench, const Experiment& experiment, int rate,
                                      const std::vector<Attribution::Made>& made);

/// For `longer`: probability that further lines of the rate come out of the noise, and where the likeliest is.
struct Emerging {
    double probability = 0.0, hz = 0.0;
};
Emerging emerging_line(const TrialView& bench, int rate);

}  // namespace tattletone::match
