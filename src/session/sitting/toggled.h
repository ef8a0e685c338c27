#pragma once

#include <string>
#include <vector>

#include "session/sitting/session_state.h"

namespace tattletone::session {

/// The newest recording that was made with a plan and is analysed; null where there is none.
const SessionRecording* newest_toggled(const std::vector<SessionRecording>& recordings);

/// Its trial: the recording is read again from its file. `sheet` may be null. `unit` holds it as a take of its name.
Result<toggle::Trial> trial_of(const SessionRecording& recording, const board::BoardSheet* sheet,
                               const tones::UnitTones& unit);

/// Why the sheet and the plan do not belong together; nothing where they do.
std::optional<Error> other_sheet(const OpenPlan& plan, const board::BoardSheet& sheet);

/// How long a recording with the plan takes.
double toggled_seconds(const toggle::Plan& plan, bool by_hand);

}  // namespace tattletone::session
