#pragma once

#include <vector>

#include "tones/tones.h"

namespace tattletone::session {

/// One tone over the time of listening.
struct ToneTrack {
    tones::Origin origin = tones::Origin::board;
    std::vector<tones::TonePoint> points;  ///< seconds on the clock of the sound heard
    double last_hz() const { return points.empty() ? 0.0 : points.back().hz; }
    double last_seconds() const { return points.empty() ? 0.0 : points.back().seconds; }
};

/// Joins the answers of successive windows into tracks: of each answer only what is newer than what
/// the track has. Bounded: at most 200 tracks and 2000 points each; older points thin out first.
class ToneTracks {
  public:
    /// `until_seconds`: where the window of `found` ends on the clock of the sound heard.
    void add(const tones::Tones& found, double until_seconds);
    void clear() { tracks_.clear(); }
    const std::vector<ToneTrack>& tracks() const { return tracks_; }

  private:
    std::vector<ToneTrack> tracks_;
};

/// The same shape for a clip.
std::vector<ToneTrack> tracks_of(const tones::Tones& found);

/// How far two answers about one line can lie apart.
double same_line_hz(const tones::Tone& tone);

}  // namespace tattletone::session
