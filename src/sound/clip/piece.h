#pragma once

#include <cstddef>

namespace tattletone::sound {

/// A segment of frames that were recorded one after the other. A source never joins two sides of a
/// gap in one piece.
struct Piece {
    std::size_t frames = 0;   ///< 0: nothing to read (a file: the end)
    bool gap_before = false;  ///< sound was lost between the last piece and this one
};

}  // namespace tattletone::sound
