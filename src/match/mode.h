#pragma once

#include <vector>

#include "match/singer.h"

namespace tattletone {

/// A tone as one line of one singer: where that puts the singer's x.
struct Pair {
    int tone = 0;                        ///< index into Scene::tones
    int place = -1;                      ///< index into Singer::places, -1 where they are n · exp(x)
    LineKind kind = LineKind::harmonic;
    int order = 1;
    double x = 0.0, sd = 0.0;            ///< Gaussian in x
    double log_jacobian = 0.0;           ///< log |dx / dhz|
};

/// One way in which a singer could make tones: lines that agree on one x. At least one pair.
using Mode = std::vector<Pair>;

/// All modes worth weighing: each pair of a tone and a line, together with all that agree with it.
std::vector<Mode> modes_of(const Scene& scene, const Singer& singer);

}  // namespace tattletone
