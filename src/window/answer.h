#pragma once

#include <optional>
#include <string>
#include <vector>

#include "report/answer_parts.h"
#include "session/sitting/session_state.h"

namespace tattletone::window {

enum class Mood { nothing_yet, waiting, quiet, unknown, named };

/// What the first glance tells: is it singing, what, how sure, what next.
struct Answer {
    Mood mood = Mood::nothing_yet;
    std::string headline;
    std::optional<report::AnswerParts> parts;  ///< of findings, in the words of the terminal and of the pages
    std::vector<std::string> trial;            ///< what a toggle plan proved, sentence by sentence
    std::string next;
    std::string basis;                  ///< what the answer stands on: "live and 2 recordings"
    std::vector<std::string> warnings;  ///< what spoils it now: clipping, lost samples, filtered sound
};

Answer answer_of(const session::SessionState& session);

/// One paragraph to paste into a message.
std::string summary_of(const session::SessionState& session);

/// "Live, 8.3 s heard, level -42.0 dBFS".
std::string live_words(const session::Snapshot& snapshot);

/// "explained by", for a table: the likeliest explanation with its probability, or why there is
/// none.
std::string explanation_of(const match::Findings& findings, const tones::UnitTone& tone);

/// The guided steps in order: the room, then each state of the sheet, then the present one from afar.
struct StepView {
    bool room = false;
    std::string state, label;
    bool done = false, running = false;
    double share = 0.0;  ///< of a running one
    bool far = false;
};
std::vector<StepView> steps_of(const session::SessionState& session);
inline constexpr double room_step_seconds = 5.0, state_step_seconds = 10.0;

}  // namespace tattletone::window
