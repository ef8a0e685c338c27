#pragma once

#include <vector>

#include "session/sitting/session_state.h"

namespace tattletone::session {

/// Sets `same_as` of every recording whose sound an earlier one of the list holds already, in whole or in part: files
/// by their marks, kept segments by which samples they are. The room's recording is none of them, and so is what is not
/// analysed yet.
void mark_same_sound(std::vector<SessionRecording>& recordings);

/// Whether one of the recordings holds some of these samples of a listening. `listening` counts as in the recordings.
bool is_kept(const std::vector<SessionRecording>& recordings, int listening, const sound::Recording& window);

}  // namespace tattletone::session
