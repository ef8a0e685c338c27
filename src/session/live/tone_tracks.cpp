#include "session/live/tone_tracks.h"

#include <algorithm>
#include <cmath>

namespace tattletone::session {
namespace {

constexpr std::size_t most_tracks = 200;
constexpr std::size_t most_points = 2000;
constexpr double longest_pause_seconds = 60.0;

void thin_out(std::vector<tones::TonePoint>& points) {
    if (points.size() <= most_points) return;
    std::size_t kept = 0;
    for (std::size_t i = 0; i < points.size(); i += i < points.size() / 2 ? 2 : 1) points[kept++] = points[i];
    points.resize(kept);
}

ToneTrack* nearest(std::vector<ToneTrack>& tracks, const tones::Tone& tone, double first_hz, double seconds) {
    ToneTrack* best = nullptr;
    double best_hz = same_line_hz(tone);
    for (ToneTrack& track : tracks) {
        if (seconds - track.last_seconds() > longest_pause_seconds) continue;
        const double apart = std::abs(track.last_hz() - first_hz);
        if (apart <= best_hz) {
            best = &track;
            best_hz = apart;
        }
    }
    return best;
}

}  // namespace

double same_line_hz(const tones::Tone& tone) {
    const double share = tone.steady ? 2e-4 : 0.01;
    return std::max({0.5, 5.0 * tone.hz_sd, share * tone.hz});
}

void ToneTracks::add(const tones::Tones& found, double until_seconds) {
    const double begin = until_seconds - found.seconds;
    for (const tones::Tone& tone : found.tones) {
        if (tone.history.empty()) continue;
        ToneTrack* track = nearest(tracks_, tone, tone.history.back().hz, until_seconds);
        if (track == nullptr) {
            if (tracks_.size() >= most_tracks) {
                const auto oldest = std::min_element(
                    tracks_.begin(), tracks_.end(),
                    [](const ToneTrack& a, const ToneTrack& b) { return a.last_seconds() < b.last_seconds(); });
                tracks_.erase(oldest);
            }
            track = &tracks_.emplace_back();
        }
        track->origin = tone.origin;
        const double known = track->points.empty() ? begin - 1.0 : track->last_seconds();
        for (tones::TonePoint point : tone.history) {
            point.seconds += begin;
            if (point.seconds > known) track->points.push_back(point);
        }
        thin_out(track->points);
    }
}

std::vector<ToneTrack> tracks_of(const tones::Tones& found) {
    ToneTracks tracks;
    tracks.add(found, found.seconds);
    return tracks.tracks();
}

}  // namespace tattletone::session
