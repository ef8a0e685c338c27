#pragma once

#include <cstddef>

#include "support/names.h"
#include "support/random.h"
#include "support/signals.h"

namespace tattletone::scenes {

/// The frequency of a power grid as time goes on: an Ornstein-Uhlenbeck walk about 50 or 60 Hz, smooth over a second.
/// 20 mHz of standard deviation is what the grid of continental Europe has over months (ENTSO-E, from memory); with
/// five minutes of memory it walks 5 mHz in ten seconds.
class MainsGrid {
  public:
    MainsGrid(double nominal_hz, Random random);

    double nominal_hz() const { return nominal_hz_; }
    void pass(double seconds);
    /// True hertz from now on; afterwards it is so much later.
    Path path(std::size_t samples, double sample_rate_hz);

  private:
    double nominal_hz_;
    Random random_;
    double off_sd_;  ///< where it is, in standard deviations
};

}  // namespace tattletone::scenes
