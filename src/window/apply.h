#pragma once

#include <optional>
#include <string>

#include "session/sitting/session.h"
#include "window/requests.h"
#include "window/shown.h"

namespace tattletone::window {

/// What must wait for the end of the frame.
struct Pending {
    std::string picture_path;           ///< save what was drawn
    std::optional<std::string> copied;  ///< for the clipboard
    bool focus_path = false, focus_mark = false, focus_serial = false;
    bool quit = false;
};

/// The one place where requests are done: on the session, on the view, on the disk.
void apply(const Requests& requests, session::Session& session, ViewState& view, const Shown& shown, Pending& pending);

/// What a new session state changes in the view: the level of the followed tone, the axis' limits.
void take_news(const session::SessionState& session, ViewState& view);

}  // namespace tattletone::window
