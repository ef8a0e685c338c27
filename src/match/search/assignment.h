#pragma once

#include <vector>

#include "match/model/source.h"

namespace tattletone::match {

/// A tone as one line of one source: where that puts the source's x.
struct LineMatch {
    int tone = 0;   ///< index into Observations::tones
    int line = -1;  ///< index into Source::lines, -1 where they are n · exp(x)
    board::LineKind kind = board::LineKind::harmonic;
    int order = 1;
    double x = 0.0, sd = 0.0;   ///< Gaussian in x
    double log_jacobian = 0.0;  ///< log |dx / dhz|
    double log_trial = 0.0;     ///< what a toggle plan says of this source and tone
    int comb = -1;              ///< index into Source::combs: a line that counts with that comb only, by
    double gain = 0.0;          ///< the log of this
};

/// One way in which a source could make tones: lines that agree on one x. At least one line_match.
using Assignment = std::vector<LineMatch>;

/// All assignments worth weighing: each line_match of a tone and a line, together with all that agree with it.
std::vector<Assignment> assignments_of(const Observations& observations, const Source& source);

}  // namespace tattletone::match
