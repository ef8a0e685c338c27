#pragma once

#include <array>
#include <span>

#include "match/model/parameters.h"
#include "tones/join/unit_tones.h"

namespace tattletone::match {

/// What the fall of one tone from 3 cm to 60 cm says, by where its source is; MODEL.md 21. How far the distances were
/// from that is common to all tones of a source, and stands on the same few nodes for each.
struct FarEvidence {
    static constexpr std::size_t nodes = 7;
    std::array<double, nodes> log_board{}, log_room{};
    double log_stray = 0.0;  ///< of a tone by itself that nobody declared
    double log_most() const;
};

/// Of its fall, and of how its level swings while it moves (MODEL.md 22), which counts `swing_weight` times.
FarEvidence far_evidence(const tones::UnitTone& tone, double swing_weight, const MatchParameters& parameters);

/// ln of the density of such a swing's ln: of what sounds at the microphone, and of what does across a room.
double log_swing_near(const tones::LevelSwing& swing, const MatchParameters& parameters);
double log_swing_afar(const tones::LevelSwing& swing, const MatchParameters& parameters);

/// Of tones of one source, which is in the room, and not on the board, with `room_share`.
double log_fall(std::span<const FarEvidence* const> tones, double room_share);

/// Where a tone comes from by how it fell, ten to one or better.
enum class FarSays { nothing, board, room };
FarSays far_says(const tones::FarFall& fall, const MatchParameters& parameters);

/// Whether all tones are as loud as before, to a hand's scatter: the microphone was not moved.
bool stayed_where_it_was(const tones::UnitTones& unit, const MatchParameters& parameters);

}  // namespace tattletone::match
