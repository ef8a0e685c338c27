#pragma once

#include <optional>
#include <string>
#include <vector>

#include "tones/join/unit_tones.h"

namespace tattletone::session {

/// What became of a tone. `too_quiet`: it would not have been found in the other session, so
/// nothing follows; `no_such_take`: the other session has no take in a state in which it was heard.
enum class Became { stayed, went, came, too_quiet, no_such_take };

/// A tone before and after a change, with the standard deviation of each difference (after minus
/// before). Levels are compared in takes of one state only (a take of unsaid state goes with all).
/// Their uncertainty is that of the noise alone; where the microphone stood adds to it. Of two
/// sessions with one sound card, so that its clock error falls out.
struct ToneChange {
    Became became = Became::stayed;
    int before = 0, after = 0;                    ///< ids; 0 where the tone is not there
    double hz = 0.0;                              ///< where it is, or was
    tones::Origin origin = tones::Origin::board;  ///< as the later session says, where it has the tone
    double hz_change = 0.0, hz_sd = 0.0;
    /// Stayed: none where the two sessions share no take in which it is heard. Went, came: at least
    /// so much quieter or louder, as otherwise it would have been found.
    std::optional<double> db_change;
    double db_sd = 0.0;
    std::string state;  ///< in which the levels were compared
};

/// Tones in both, then those that were there before only, then those that are there after only;
/// each group by frequency. Two tones are the same line within 0.3 %, or 5 standard deviations
/// where that is more.
std::vector<ToneChange> changes_between(const tones::UnitTones& before, const tones::UnitTones& after);

}  // namespace tattletone::session
