#include "session/sitting/once.h"

#include <algorithm>

#include "tones/join/sound_mark.h"

namespace tattletone::session {
namespace {

bool share_samples(const SessionRecording& a, int listening, std::uint64_t from, std::uint64_t to) {
    return a.listening > 0 && a.listening == listening && a.from_frame < to && from < a.to_frame;
}

bool same(const SessionRecording& a, const SessionRecording& b) {
    if (share_samples(a, b.listening, b.from_frame, b.to_frame)) return true;
    // Of one listening it is known what they are.
    if (a.listening > 0 && a.listening == b.listening) return false;
    return tones::same_sound(a.picture->found, b.picture->found);
}

}  // namespace

void mark_same_sound(std::vector<SessionRecording>& recordings) {
    for (std::size_t later = 0; later < recordings.size(); ++later) {
        SessionRecording& recording = recordings[later];
        recording.same_as.clear();
        if (!recording.picture || recording.room) continue;
        for (std::size_t first = 0; first < later; ++first) {
            const SessionRecording& other = recordings[first];
            if (!other.picture || other.room || !other.same_as.empty() || !same(other, recording)) continue;
            recording.same_as = other.name;
            break;
        }
    }
}

bool is_kept(const std::vector<SessionRecording>& recordings, int listening, const sound::Recording& window) {
    return std::any_of(recordings.begin(), recordings.end(), [&](const SessionRecording& recording) {
        return recording.picture &&
               share_samples(recording, listening, window.first_frame, window.first_frame + window.samples.size());
    });
}

}  // namespace tattletone::session
