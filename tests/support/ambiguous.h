#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "board/sheet/sheet.h"
#include "sound/recording.h"
#include "support/boards.h"
#include "support/names.h"
#include "support/voice.h"

namespace tattletone::scenes {

/// How one recording of a unit is made.
struct Condition {
    int state = 0;  ///< index into the sheet's states
    int rate_off = -1, part_off = -1;
    int changed_rate = -1;
    double changed_hz = 0.0;
    double sample_rate_hz = 48000.0, seconds = 6.0;
    std::string spot;  ///< a part's, or empty
    bool board_unpowered = false;
    double fall_db = 0.0;  ///< of what the board radiates, the microphone being farther away
};

/// A unit on whose board several rates could make the tone that one of them makes: timers divided down to
/// the same or to doubled values, oscillators with overlapping tolerances, a converter that wanders over
/// all of them. Three states, each part with a spot of its own, some rates adjustable.
class AmbiguousUnit {
  public:
    explicit AmbiguousUnit(std::uint64_t seed);

    const BoardSheet& sheet() const { return sheet_; }
    int culprit() const { return culprit_; }
    /// A state in which the culprit runs.
    int first_state() const { return first_state_; }

    /// A rate that runs sings in 95 of 100 recordings, 3 dB louder or softer from one to the next; over its
    /// own spot 6 dB louder, between spots 5.7 dB up and down; a load ends a burst in 4 of 5.
    Recording record(const Condition& condition, std::uint64_t take) const;

  private:
    BoardSheet sheet_;
    std::vector<Timing> timing_;
    std::uint64_t seed_ = 0;
    int culprit_ = 0, first_state_ = 0;
    double true_hz_ = 0.0, tone_to_noise_db_ = 0.0, card_ppm_ = 0.0;
};

}  // namespace tattletone::scenes
