#pragma once

#include <string>

#include "window/requests.h"
#include "window/shown.h"

namespace tattletone::window {

/// A key that was pressed: the letter that the keyboard's layout puts on it ("z"), or a name
/// ("space", "left", "right", "up", "down", "home", "escape", "backspace", "enter", "f1", "f5").
struct KeyPress {
    std::string name;
    bool control = false;
};

/// What it asks for; nothing where it means nothing now. Every frequent thing has a key.
Requests request_for(const KeyPress& key, const Shown& shown, const ViewState& view);

}  // namespace tattletone::window
