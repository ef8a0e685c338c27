#pragma once

#include <array>
#include <cstddef>
#include <span>

#include "support/names.h"
#include "support/random.h"

namespace tattletone::scenes {

/// What a room makes of sound from afar: it decays slowly, and each tone has a level of its own wherever the
/// microphone stands. A feedback delay network (J.-M. Jot and A. Chaigne, 1991, from memory), with about one mode a
/// hertz; its mean gain is 0 dB.
class Reverberation {
  public:
    /// The microphone stands somewhere. `direct_db`: the sound that comes straight, over that from the walls.
    Reverberation(double sample_rate_hz, double decay_seconds, double direct_db, Random& random);

    /// The microphone stands at another place, farther from the first than a wave is long.
    void move_microphone(Random& random);

    /// It stands nearer to what sounds, or farther: the walls send back as much as before.
    void change_direct(double db);

    void run(std::span<double> signal) const;

    double decay_seconds() const { return decay_seconds_; }

  private:
    static constexpr std::size_t delay_lines = 16;

    double sample_rate_hz_, decay_seconds_, direct_db_;
    double direct_ = 0.0, reverberant_ = 1.0;
    std::array<std::size_t, delay_lines> length_{};
    std::array<double, delay_lines> kept_{}, in_{}, out_{};
};

}  // namespace tattletone::scenes
